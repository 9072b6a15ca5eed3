"""Facts of an order that may be late or short, from the rack and the plan."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from urllib.parse import urlencode

from orders.models import Order
from orders.money.reads import account_now
from orders.order_states import PROMISED
from production.bar_ledger import PLAIN
from production.batch_states import BatchState
from production.batches.models import Batch, BatchFor
from production.batches.proposal import GONE
from production.cure.order_bars import OrderBars, bars_of_orders, for_bars, released_lots
from production.trouble.choices import Choice, TroubleFacts, choices
from soapshop.models import Workshop
from soapshop.money import format_money
from soapshop.panels import Panel

TROUBLE_RANK = 65


@dataclass(frozen=True)
class TroublePage:
    order: Order
    facts: TroubleFacts
    choices: tuple[Choice, ...]

    @property
    def is_late(self) -> bool:
        return self.facts.today > self.facts.ready_by

    @property
    def letter_query(self) -> str:
        """Return what the draft letter is filled with: the open choices as they are said to the customer."""
        offers = [choice.offer for choice in self.choices if choice.is_open and choice.offer]
        about = "short" if self.facts.ready else "late"
        return urlencode({"about": about, "missing": self.facts.missing, "choice": offers}, doseq=True)


def trouble_page(number: str, *, today: date) -> TroublePage | None:
    order = for_bars(Order.objects.filter(number=number)).first()
    if order is None:
        return None
    facts = trouble_facts(order, today=today)
    return TroublePage(order, facts, choices(facts))


def trouble_facts(order: Order, *, today: date) -> TroubleFacts:
    workshop = Workshop.current()
    bars = bars_of_orders([order])[order.pk]
    coming, coming_on = _coming(order)
    ready_by = order.needed_by - timedelta(days=order.travel_days + workshop.pack_days)
    is_in_time = coming_on is not None and coming_on <= ready_by
    missing = max(bars.missing - (coming if is_in_time else 0), 0)
    alike, plain = _free(bars)
    return TroubleFacts(
        today=today,
        needed_by=order.needed_by,
        travel_days=order.travel_days,
        pack_days=workshop.pack_days,
        cure_days=workshop.cure_days,
        least_cure_days=workshop.least_cure_days,
        bars=bars.bars,
        missing=missing,
        ready=bars.reserved + bars.packed,
        free_alike=alike,
        free_plain=plain,
        bars_coming=coming,
        coming_on=coming_on,
        price_of_missing=_price(order, missing, today=today, currency=workshop.currency),
    )


def _coming(order: Order) -> tuple[int, date | None]:
    """Return the bars planned or in cure for an order, and when the last of them has cured."""
    serves = BatchFor.objects.filter(line__order=order).exclude(batch__status__in=[*GONE, BatchState.RELEASED.value])
    rows = list(serves.select_related("batch"))
    days = [(row.batch.poured_on or row.batch.pour_on) + timedelta(days=row.batch.cure_days) for row in rows]
    return sum(row.bars for row in rows), max(days, default=None)


def _free(bars: OrderBars) -> tuple[int, int]:
    """Return the free released bars of the same design and finish, and the free plain ones of other finishes."""
    designs = {need.line.design_id for need in bars.needs}
    batches = Batch.objects.filter(design__in=designs, status=BatchState.RELEASED.value)
    free: dict[tuple[str, str], int] = {}
    for lot in released_lots(batches):
        free[(lot.design, lot.finish)] = free.get((lot.design, lot.finish), 0) + lot.bars
    alike = {(str(need.line.design_id), need.finish): need.missing for need in bars.needs if need.missing}
    same = sum(min(free.get(key, 0), missing) for key, missing in alike.items())
    plain = sum(free.get((design, PLAIN), 0) for design in {design for design, finish in alike if finish != PLAIN})
    return same, plain


def _price(order: Order, missing: int, *, today: date, currency: str) -> str:
    """Return what the missing bars come to with tax, by the order's mean price a bar."""
    account = account_now(order, today=today)
    rows = [row for row in account.sum.lines if row.bars] if account.sum else []
    bars = sum(row.bars or 0 for row in rows)
    if not bars:
        return ""
    gross = sum((row.gross for row in rows), Decimal(0))
    return format_money(gross * min(missing, bars) / bars, currency=currency)


def trouble_panel(order: Order) -> Panel | None:
    """Offer a way to the choices while an order is promised."""
    if order.state not in PROMISED:
        return None
    return Panel("production/trouble/order_panel.html", {"order": order}, rank=TROUBLE_RANK)
