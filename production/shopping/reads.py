"""The shopping list: what planned pours still miss, in packs, from whom and by when."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from production.shopping.models import Offer
from production.shopping.packs import Bought, Pack, packs_for
from production.stock.models import Supplier
from production.stock.reads import MaterialRow, PartRow, ShelfFilter, stores_page


@dataclass(frozen=True)
class Wanted:
    """One material to buy."""

    row: MaterialRow
    missing_grams: Decimal
    bought: Bought | None
    order_by: date | None

    def is_too_late(self, today: date) -> bool:
        return self.order_by is not None and self.order_by < today


@dataclass(frozen=True)
class Errand:
    """What to order from one supplier; None gathers what nobody is known for."""

    supplier: Supplier | None
    wanted: tuple[Wanted, ...]

    @property
    def first_day(self) -> date | None:
        return min((each.order_by for each in self.wanted if each.order_by), default=None)

    @property
    def price(self) -> Decimal | None:
        """What all of it costs; None while a price is not known."""
        prices = [each.bought.price if each.bought else None for each in self.wanted]
        return None if None in prices else sum((price for price in prices if price is not None), Decimal(0))


@dataclass(frozen=True)
class ShoppingList:
    errands: tuple[Errand, ...]
    parts: tuple[PartRow, ...]

    @property
    def things(self) -> int:
        return sum(len(errand.wanted) for errand in self.errands) + len(self.parts)

    @property
    def first_day(self) -> date | None:
        return min((errand.first_day for errand in self.errands if errand.first_day), default=None)


def shopping_list(*, today: date) -> ShoppingList:
    """Return what to buy, by supplier, first to order first; the queries of the stores and one more."""
    stock = stores_page(ShelfFilter(), today=today)
    offers: defaultdict[int, list[Offer]] = defaultdict(list)
    ids = [row.material.pk for row in stock.short_materials]
    for offer in Offer.objects.filter(material_id__in=ids).select_related("supplier"):
        offers[offer.material_id].append(offer)
    by_supplier: dict[int, list[Wanted]] = {}
    suppliers: dict[int, Supplier | None] = {}
    for row in stock.short_materials:
        supplier, wanted = _wanted(row, offers[row.material.pk])
        key = 0 if supplier is None else supplier.pk
        suppliers[key] = supplier
        by_supplier.setdefault(key, []).append(wanted)
    errands = [Errand(suppliers[key], tuple(own)) for key, own in by_supplier.items()]
    return ShoppingList(
        tuple(sorted(errands, key=lambda errand: (errand.supplier is None, errand.first_day or date.max))),
        stock.short_parts,
    )


def _wanted(row: MaterialRow, offers: list[Offer]) -> tuple[Supplier | None, Wanted]:
    """Buy where it came from last, in the packs on that list; else from whoever has it on theirs."""
    shortage = row.shortage
    missing = Decimal(0) if shortage is None else shortage.amount
    own = [offer for offer in offers if row.supplier is not None and offer.supplier_id == row.supplier.pk]
    bought, supplier = None, row.supplier
    if own or offers:
        by_pack = {Pack(offer.pack_grams, offer.price): offer for offer in reversed(own or offers)}
        bought = packs_for(missing, by_pack)
        supplier = by_pack[bought.pack].supplier if bought else supplier
    lead_days = supplier.lead_days if supplier else None
    order_by = shortage.order_by(lead_days) if shortage else None
    return supplier, Wanted(row, missing, bought, order_by)
