"""What the search box finds, in groups; one query for each group."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import BooleanField, Case, Q, QuerySet, Value, When

from formulas.models import Design, Formula, Material
from orders.models import Customer, Order
from production.batches.models import Batch
from production.stock.models import Lot, PartLot

MOST_ROWS = 10
LONGEST_WORDS = 80


@dataclass(frozen=True)
class Hit:
    """One thing found: its name, a line about it, its page, and the code that leads straight to it."""

    name: str
    about: str
    url: str
    code: str = ""


@dataclass(frozen=True)
class Group:
    title: str
    hits: tuple[Hit, ...]
    has_more: bool


@dataclass(frozen=True)
class Found:
    words: str
    groups: tuple[Group, ...]

    @property
    def count(self) -> int:
        return sum(len(group.hits) for group in self.groups)

    @property
    def has_more(self) -> bool:
        return any(group.has_more for group in self.groups)

    @property
    def only_code(self) -> str | None:
        """The page of the one thing whose code is exactly what was typed."""
        urls = {hit.url for group in self.groups for hit in group.hits if hit.code.lower() == self.words.lower()}
        return urls.pop() if len(urls) == 1 else None


def tidy_words(typed: str) -> str:
    """Return what was typed in one line, without signs that no database takes."""
    plain = "".join(sign if sign.isprintable() else " " for sign in typed[: 4 * LONGEST_WORDS])
    return " ".join(plain.split())[:LONGEST_WORDS].strip()


def search(words: str) -> Found:
    """Look for the words in every book of the shop."""
    if not words:
        return Found("", ())
    groups = (
        _group("Orders", (_order(order) for order in _orders(words))),
        _group("Batches", (_batch(batch) for batch in _batches(words))),
        _group("Lots", (_lot(lot) for lot in _lots(words))),
        _group("Lots of parts", (_part_lot(lot) for lot in _part_lots(words))),
        _group("Customers", (_customer(customer) for customer in _customers(words))),
        _group("Formulas", (Hit(row.name, "", row.get_absolute_url()) for row in _named(Formula.objects.all(), words))),
        _group("Designs", (Hit(row.name, "", row.get_absolute_url()) for row in _named(Design.objects.all(), words))),
        _group("Materials", (_material(row) for row in _named(Material.objects.only("name", "kind"), words))),
    )
    return Found(words, tuple(group for group in groups if group.hits))


def _group(title: str, hits: Iterable[Hit]) -> Group:
    found = tuple(hits)
    return Group(title, found[:MOST_ROWS], has_more=len(found) > MOST_ROWS)


def _orders(words: str) -> QuerySet[Order]:
    fits = Q(customer__name__icontains=words) | Q(occasion__icontains=words)
    fits |= Q(lines__wording__icontains=words) | Q(lines__design__name__icontains=words)
    orders = Order.objects.filter(fits | Q(number__istartswith=words)).select_related("customer").distinct()
    return _exact_first(orders, "number", words, "-needed_by")


def _batches(words: str) -> QuerySet[Batch]:
    batches = Batch.objects.filter(Q(number__icontains=words) | Q(design__name__icontains=words))
    return _exact_first(batches.select_related("design").defer("frozen"), "number", words, "-pour_on")


def _lots(words: str) -> QuerySet[Lot]:
    fits = Q(code__icontains=words) | Q(supplier_lot__icontains=words) | Q(material__name__icontains=words)
    return _exact_first(Lot.objects.filter(fits).select_related("material"), "code", words, "-received_on")


def _part_lots(words: str) -> QuerySet[PartLot]:
    lots = PartLot.objects.filter(Q(code__icontains=words) | Q(part__name__icontains=words))
    return _exact_first(lots.select_related("part"), "code", words, "-made_on")


def _customers(words: str) -> QuerySet[Customer]:
    fits = Q(name__icontains=words) | Q(email__icontains=words) | Q(phone__icontains=words)
    return Customer.objects.filter(fits).order_by("name")[: MOST_ROWS + 1]


def _named(rows: QuerySet, words: str) -> QuerySet:
    return rows.filter(name__icontains=words).order_by("name")[: MOST_ROWS + 1]


def _exact_first(rows: QuerySet, field: str, words: str, newest: str) -> QuerySet:
    """Put the row whose code is just what was typed on top, then the newest."""
    is_exact = Case(When(**{f"{field}__iexact": words}, then=Value(True)), default=False, output_field=BooleanField())
    return rows.annotate(is_exact=is_exact).order_by("-is_exact", newest, "-pk")[: MOST_ROWS + 1]


def _order(order: Order) -> Hit:
    about = f"{order.state.label}, needed by {_day(order.needed_by)}"
    return Hit(f"{order.number} {order.customer.name}", about, order.get_absolute_url(), order.number)


def _batch(batch: Batch) -> Hit:
    when = f"poured on {_day(batch.poured_on)}" if batch.poured_on else f"to be poured on {_day(batch.pour_on)}"
    about = f"{batch.state.label}, {when}"
    return Hit(f"{batch.number} {batch.design.name}", about, batch.get_absolute_url(), batch.number)


def _lot(lot: Lot) -> Hit:
    about = f"{lot.state.label}, received on {_day(lot.received_on)}"
    return Hit(f"{lot.code} {lot.material.name}", about, lot.get_absolute_url(), lot.code)


def _part_lot(lot: PartLot) -> Hit:
    return Hit(f"{lot.code} {lot.part.name}", f"{lot.pieces_left} left", lot.get_absolute_url(), lot.code)


def _customer(customer: Customer) -> Hit:
    return Hit(customer.name, customer.email or customer.phone, customer.get_absolute_url())


def _material(material: Material) -> Hit:
    return Hit(material.name, material.get_kind_display(), material.get_absolute_url())


def _day(day: date) -> str:
    return f"{day:%b} {day.day}, {day.year}"
