"""How far a trouble in a pot reaches: what came of it, its bars, and the orders with their last day to pour again."""

from dataclasses import dataclass
from datetime import date

from orders.models import OrderLine
from production.bar_ledger import BarState
from production.batches.models import Batch, BatchFor
from production.batches.offspring import Offspring, offspring
from production.batches.slips import OrderToAsk, last_pour_again
from production.cure.bar_counts import bar_counts
from soapshop.models import Workshop


@dataclass(frozen=True)
class OrderReached:
    """Bars of one order line that were to come of the pot."""

    line: OrderLine
    batch: Batch
    bars: int
    pour_again_by: date


@dataclass(frozen=True)
class Reach:
    offspring: Offspring
    bars: dict[str, int]  # by state, in words
    orders: tuple[OrderReached, ...]


def reach_of(batch: Batch) -> Reach:
    """Return everything a hold on this pot covers."""
    came = offspring(batch)
    pots = [batch, *came.batches]
    bars: dict[str, int] = {}
    for counts in bar_counts([pot.pk for pot in pots]).values():
        for balance in counts.values():
            for state in BarState:
                if state != BarState.MADE and balance.at(state):
                    bars[state.label] = bars.get(state.label, 0) + balance.at(state)
    return Reach(came, bars, orders_reached(pots))


def orders_reached(pots: list[Batch]) -> tuple[OrderReached, ...]:
    """Return the order lines that pots were planned for, the first to run out of days first."""
    pack_days = Workshop.current().pack_days
    rows = BatchFor.objects.filter(batch__in=pots).select_related("batch", "line__order__customer", "line__design")
    found = [
        OrderReached(
            line=row.line,
            batch=row.batch,
            bars=row.bars,
            pour_again_by=last_pour_again(
                needed_by=row.line.order.needed_by,
                travel_days=row.line.order.travel_days,
                pack_days=pack_days,
                cure_days=row.batch.cure_days,
            ),
        )
        for row in rows
    ]
    return tuple(sorted(found, key=lambda row: (row.pour_again_by, row.line.order.number)))


def orders_to_ask(batch: Batch) -> tuple[OrderToAsk, ...]:
    found = {row.line.order.number: row.pour_again_by for row in reversed(orders_reached([batch]))}
    return tuple(OrderToAsk(number, day) for number, day in sorted(found.items(), key=lambda item: item[1]))
