"""What an order still needs, what lies ready for it, and what the rule would give it: rows to frozen records."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import cast

from django.db.models import Q, QuerySet

from formulas.finishes import FinishError, FinishWant, When, finish_groups
from orders.models import Order, OrderLine
from orders.order_states import PROMISED
from production.allocation import Allocation, BarLot, Want, allocate
from production.bar_ledger import PLAIN, BarState
from production.batch_states import BatchState
from production.batches.models import Batch
from production.cure.bar_counts import Held, bar_counts, bars_with_lines
from production.cure.models import BarMove, Release


@dataclass(frozen=True)
class LineNeed:
    """Bars of one finish that one line asks for, and where they are."""

    line: OrderLine
    finish: str
    words: str
    bars: int
    lots: tuple[Held, ...]

    @property
    def reserved(self) -> int:
        return sum(lot.reserved for lot in self.lots)

    @property
    def packed(self) -> int:
        return sum(lot.packed for lot in self.lots)

    @property
    def shipped(self) -> int:
        return sum(lot.shipped for lot in self.lots)

    @property
    def missing(self) -> int:
        return max(self.bars - self.reserved - self.packed - self.shipped, 0)

    @property
    def too_many(self) -> int:
        return max(self.reserved + self.packed + self.shipped - self.bars, 0)


@dataclass(frozen=True)
class OrderBars:
    """All bars of an order by line and finish."""

    order: Order
    needs: tuple[LineNeed, ...]

    @property
    def bars(self) -> int:
        return sum(need.bars for need in self.needs)

    @property
    def reserved(self) -> int:
        return sum(need.reserved for need in self.needs)

    @property
    def packed(self) -> int:
        return sum(need.packed for need in self.needs)

    @property
    def shipped(self) -> int:
        return sum(need.shipped for need in self.needs)

    @property
    def missing(self) -> int:
        return sum(need.missing for need in self.needs)

    @property
    def too_many(self) -> int:
        return sum(need.too_many for need in self.needs)

    @property
    def is_complete(self) -> bool:
        return not self.missing and not self.too_many


def for_bars(orders: QuerySet[Order]) -> QuerySet[Order]:
    return orders.select_related("customer").prefetch_related("lines__design", "lines__finishes__part")


def bars_of_orders(orders: Iterable[Order]) -> dict[int, OrderBars]:
    """Return the bars of each order loaded by ``for_bars``; one query for all of them."""
    orders = list(orders)
    held = bars_with_lines(BarMove.objects.filter(line__order_id__in=[order.pk for order in orders]))
    by_line: dict[int, list[Held]] = {}
    for each in held:
        by_line.setdefault(each.line_id, []).append(each)
    return {
        order.pk: OrderBars(
            order, tuple(need for line in order.lines.all() for need in _needs(line, by_line.get(line.pk, [])))
        )
        for order in orders
    }


def _needs(line: OrderLine, held: list[Held]) -> list[LineNeed]:
    """Return the line's finishes, and those that lie with it although it no longer asks for them."""
    names = {finish.part.key: finish.part.name for finish in line.finishes.all()}
    wanted = finishes_of(line)
    stray = [each.finish for each in held if each.finish not in wanted]
    return [
        LineNeed(
            line=line,
            finish=finish,
            words=" + ".join(names.get(key, key) for key in finish.split("+")),
            bars=wanted.get(finish, 0),
            lots=tuple(each for each in held if each.finish == finish),
        )
        for finish in dict.fromkeys([*wanted, *stray])
    ]


def finishes_of(line: OrderLine) -> dict[str, int]:
    """Return the bars of each finish that a line asks for."""
    wants = tuple(
        FinishWant(finish.part.key, finish.bars, cast(When, finish.part.attached_at), finish.part.kind)
        for finish in line.finishes.all()
    )
    try:
        return {group.key: group.bars for group in finish_groups(line.bars, wants)}
    except FinishError:
        return {PLAIN: line.bars}


def released_lots(batches: Iterable[Batch]) -> list[BarLot]:
    """Return the free bars of released batches; the release day is the age that counts."""
    batches = list(batches)
    counts = bar_counts([batch.pk for batch in batches])
    decisions: dict[int, Release] = {}
    for decision in Release.objects.filter(batch__in=batches, decision=Release.Decision.RELEASED).order_by("at", "pk"):
        decisions[decision.batch_id] = decision
    lots = []
    for batch in batches:
        newest = decisions.get(batch.pk)
        if batch.state != BatchState.RELEASED or newest is None:
            continue
        for finish, now in counts.get(batch.pk, {}).items():
            if now.at(BarState.RELEASED):
                lots.append(
                    BarLot(
                        batch=batch.number,
                        design=str(batch.design_id),
                        bars=now.at(BarState.RELEASED),
                        ready_on=newest.day,
                        finish=finish,
                        use_by=newest.best_before,
                    )
                )
    return lots


def wants_of(bars: OrderBars, *, pack_days: int) -> list[Want]:
    """Return what is missing, due on the day the bars must be ready for labels and packing."""
    order = bars.order
    due_on = order.needed_by - timedelta(days=order.travel_days + pack_days)
    return [
        Want(line_name(need.line), str(need.line.design_id), need.missing, due_on, need.finish)
        for need in bars.needs
        if need.missing
    ]


def line_name(line: OrderLine) -> str:
    """Sorts as the lines were taken, so that of two orders due on one day the older is served first."""
    return f"{line.pk:012d}"


def share_out(
    order: Order, lots: list[BarLot], *, pack_days: int, today: date, is_out_of_turn: bool = False
) -> Allocation:
    """Give out the free bars by the rule among all promised orders of these designs, or to this order alone."""
    designs = {line.design_id for line in order.lines.all()}
    asking = for_bars(Order.objects.filter(pk=order.pk))
    if not is_out_of_turn:
        states = [state.value for state in PROMISED]
        others = Order.objects.filter(status__in=states, lines__design_id__in=designs).values("pk")
        asking = for_bars(Order.objects.filter(Q(pk__in=others) | Q(pk=order.pk)))
    wants = [want for bars in bars_of_orders(asking).values() for want in wants_of(bars, pack_days=pack_days)]
    # A day gone by is as good as today: what is late is due at once, and bars released today are not late for it.
    wants = [replace(want, due_on=max(want.due_on, today)) for want in wants]
    return allocate(lots, wants)
