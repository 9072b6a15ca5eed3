"""What the page of one batch's bars shows: where each bar is, how it came there, and what may become of it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from formulas.models import Part
from formulas.part_windows import attach_words
from production.bar_ledger import LABELS, PLACES, BarState
from production.batches.models import Batch
from production.cure.actions.finishing import FROM as FINISHED_FROM
from production.cure.bar_counts import finish_words
from production.cure.models import BarMove
from production.cure.rack_plans import part_names, with_plan_text
from production.cure.rack_rows import FinishCount, finish_counts
from production.stock.models import PartLot

TAKEN_FROM = (
    BarState.IN_CURE,
    BarState.RELEASED,
    BarState.HELD,
    BarState.RETURNED,
    BarState.SECOND,
    BarState.RETAINED,
)
JUDGED_FROM = (BarState.HELD, BarState.RETURNED)


@dataclass(frozen=True)
class PlaceCount:
    label: str
    bars: int


@dataclass(frozen=True)
class LedgerRow:
    count: FinishCount
    places: tuple[PlaceCount, ...]


@dataclass(frozen=True)
class Ledger:
    """Every bar of a batch by finish and place."""

    counts: tuple[FinishCount, ...]

    @property
    def rows(self) -> list[LedgerRow]:
        return [LedgerRow(count, _places(count)) for count in self.counts]

    @property
    def made(self) -> int:
        return sum(count.balance.made for count in self.counts)

    @property
    def accounted(self) -> int:
        return sum(count.balance.accounted for count in self.counts)

    def at(self, state: BarState) -> int:
        return sum(count.balance.at(state) for count in self.counts)

    def choices(self, states: tuple[BarState, ...]) -> list[tuple[str, str]]:
        """Return the places among these that hold bars, as choices of a form."""
        return [
            (f"{state.value}|{count.finish}", f"{count.words}, {LABELS[state].lower()} ({count.balance.at(state)})")
            for count in self.counts
            for state in states
            if count.balance.at(state)
        ]


@dataclass(frozen=True)
class MoveRow:
    move: BarMove
    finish: str


@dataclass(frozen=True)
class BarsPage:
    batch: Batch
    ledger: Ledger
    moves: tuple[MoveRow, ...]
    part_lots: tuple[PartLot, ...]
    parts_on: tuple[tuple[str, str], ...]
    stamps: tuple[tuple[str, str], ...] = ()
    windows: tuple[str, ...] = ()

    @property
    def to_take(self) -> list[tuple[str, str]]:
        return self.ledger.choices(TAKEN_FROM)

    @property
    def to_judge(self) -> list[tuple[str, str]]:
        return self.ledger.choices(JUDGED_FROM)

    @property
    def seconds(self) -> list[tuple[str, str]]:
        return self.ledger.choices((BarState.SECOND,))

    @property
    def to_finish(self) -> list[tuple[str, str]]:
        return self.ledger.choices(FINISHED_FROM) if self.part_lots or self.stamps or self.parts_on else []

    @property
    def waiting(self) -> int:
        """Bars that somebody must judge."""
        return sum(self.ledger.at(state) for state in JUDGED_FROM)


def bars_page(number: str, *, today: date) -> BarsPage | None:
    batch = with_plan_text(Batch.objects.filter(number=number)).select_related("design").first()
    if batch is None:
        return None
    names = part_names(batch)
    ledger = Ledger(finish_counts(batch))
    moves = batch.bar_moves.select_related("by", "line__order", "parcel").order_by("-at", "-pk")
    # Lots past their use-by stay in the list and say so: taking one is refused.
    lots = PartLot.objects.filter(pieces_left__gt=0, part__designs__design_id=batch.design_id).first_to_go()
    lots = lots.exclude(part__attached_at=Part.AttachedAt.POUR).select_related("part")
    stamps = Part.objects.filter(designs__design_id=batch.design_id, kind=Part.Kind.STAMP)
    on_bars = {key for count in ledger.counts for key in count.finish.split("+")} & set(names)
    return BarsPage(
        batch=batch,
        ledger=ledger,
        moves=tuple(MoveRow(move, finish_words(move.finish, names)) for move in moves),
        part_lots=tuple(lots),
        parts_on=tuple(sorted((key, names[key]) for key in on_bars)),
        stamps=tuple(stamps.values_list("key", "name")),
        windows=_windows(batch, lots, today=today),
    )


def _windows(batch: Batch, lots: Iterable[PartLot], *, today: date) -> tuple[str, ...]:
    """Say for each part that joins fresh faces how long these bars still take it."""
    fresh = {lot.part for lot in lots if lot.part.attached_at == Part.AttachedAt.CUT}
    if batch.cut_on is None:
        return ()
    said = [
        attach_words(part.name, cut_on=batch.cut_on, window_days=part.attach_window_days, today=today)
        for part in sorted(fresh, key=lambda part: part.name)
    ]
    return tuple(words for words in said if words)


def _places(count: FinishCount) -> tuple[PlaceCount, ...]:
    return tuple(PlaceCount(LABELS[place], count.balance.at(place)) for place in PLACES if count.balance.at(place))
