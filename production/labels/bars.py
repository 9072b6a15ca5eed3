"""A batch's rows to its bars: how many get a label, what they weigh, when they were released and are handed over."""

from collections.abc import Iterable
from datetime import date, timedelta
from decimal import Decimal

from formulas.declaration import DeclarationError, DeclaredInput
from formulas.declaration.pots import open_pots
from formulas.declaration.reaction import react
from production.bar_ledger import OUT_OF_SALE, BarState
from production.batches.frozen import FrozenPlan
from production.batches.models import Batch, BatchFor
from production.cure.models import Release
from production.cure.weights import BarWeighing, MarkedBar
from production.labels.bar_weights import BarFacts, kept_fraction
from production.labels.lot_weights import WeighedLot
from production.labels.models import LotWeighing

ZERO = Decimal()
CUT_AFTER = timedelta(days=1)
GONE = tuple(state.value for state in OUT_OF_SALE)


def bars_by_finish(batch: Batch, plan: FrozenPlan) -> dict[str, int]:
    """Return the bars that get a label, by finish: as cut, less those spoiled, tested or kept; else as planned."""
    moves = list(batch.bar_moves.all())
    if not moves:
        return {finish.key: finish.bars for finish in plan.finishes if finish.bars}
    counts: dict[str, int] = {}
    for move in moves:
        made = (move.from_state == BarState.MADE.value) - (move.to_state == BarState.MADE.value)
        gone = (move.to_state in GONE) - (move.from_state in GONE)
        counts[move.finish] = counts.get(move.finish, 0) + move.bars * (made - gone)
    return {finish: bars for finish, bars in counts.items() if bars > 0}


def hand_over_day(served: Iterable[BatchFor], *, on: date) -> date:
    """Return the last day bars made for these lines are promised for, but never a day gone by."""
    orders = [each.line.order for each in served]
    return max([on, *(order.promised_date or order.needed_by for order in orders)])


def newest_release(batch: Batch) -> Release | None:
    """Return the decision that counts."""
    return max(batch.releases.all(), key=lambda release: (release.at, release.pk), default=None)


def bar_facts(batch: Batch, plan: FrozenPlan, body: tuple[DeclaredInput, ...]) -> BarFacts:
    made = (batch.bars_cut or 0) + (batch.spoiled_at_cut or 0)
    marked: dict[str, list[BarWeighing]] = {}
    for weighing in batch.cure_weighings.all():
        marked.setdefault(weighing.bar_mark, []).append(BarWeighing(weighing.on, weighing.grams))
    return BarFacts(
        batter_grams=sum((given.grams for given in body), ZERO),
        dry_grams=dry_grams(body),
        scent_grams=sum((given.grams for given in body if given.role == "scent"), ZERO),
        bars_made=made or plan.bars,
        cut_on=batch.cut_on or (batch.poured_on or batch.pour_on) + CUT_AFTER,
        is_cut=made > 0,
        mean_cut_grams=batch.mean_cut_bar_grams,
        in_molds_grams=batch.in_molds_grams,
        ends_grams=batch.ends_grams,
        marked=tuple(MarkedBar(mark, tuple(found)) for mark, found in marked.items()),
    )


def newest_weighing(batch: Batch, finish: str) -> LotWeighing | None:
    """Return the weighing that counts; a batch that is known to have none is not asked again."""
    if not getattr(batch, "has_lot_weighings", True):
        return None
    return next((kept for kept in batch.lot_weighings.all() if kept.finish == finish), None)


def weighed_lot(batch: Batch, finish: str, *, bars: int, facts: BarFacts, until: date) -> WeighedLot | None:
    """Return the newest weighing of the finished bars of one finish, or None where they were not weighed."""
    newest = newest_weighing(batch, finish)
    if newest is None or not newest.bars_grams:
        return None
    return WeighedLot(
        on=newest.on,
        until=max(until, newest.on),
        bars_grams=newest.bars_grams,
        lot_size=max(bars, len(newest.bars_grams)),
        kept_fraction=kept_fraction(facts, weighed_on=newest.on, until=until),
        set_aside=len(newest.set_aside),
        step_grams=newest.scale.step_grams if newest.scale else None,
    )


def dry_grams(inputs: tuple[DeclaredInput, ...]) -> Decimal:
    """Everything but water: what no drying can take away. Figures that cannot be true are refused by the list."""
    try:
        return sum((react(pot).dry_grams for pot in open_pots(inputs).all), ZERO)
    except DeclarationError:
        return sum((given.grams for given in inputs), ZERO)
