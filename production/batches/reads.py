"""What the bench pages show."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Prefetch

from formulas.drawing import Picture, bar_cross_section_svg
from formulas.part_windows import attach_window
from production.batch_states import MOVES, BatchState
from production.batches.asked import ITS_OWN_PAGE
from production.batches.cautions import Caution, cautions
from production.batches.faces import small_face
from production.batches.frozen import FrozenPlan, FrozenPortion
from production.batches.models import Batch, Deviation, PortionFill, StepRecord, Weighing
from production.batches.outcome import Outcome, outcome_of
from production.batches.pictures import drawn_bar
from production.batches.pot import rescue
from production.batches.records import plan_of, pot_of
from production.cure.rack_plans import with_plan_text
from production.stock.models import Lot

SHAPES = {
    BatchState.PLANNED: "open",
    BatchState.IN_PROCESS: "going",
    BatchState.POURED: "waiting",
    BatchState.CUT: "waiting",
    BatchState.CURING: "waiting",
    BatchState.READY_FOR_REVIEW: "review",
    BatchState.RELEASED: "ready",
    BatchState.HELD: "hold",
    BatchState.REJECTED: "struck",
    BatchState.SCRAPPED: "struck",
    BatchState.REWORKED: "away",
    BatchState.CANCELLED: "struck",
}
WITH_HANDS_ON = (BatchState.IN_PROCESS, BatchState.POURED, BatchState.CUT)
AT_THE_BENCH = (BatchState.PLANNED, BatchState.IN_PROCESS, BatchState.POURED, BatchState.CUT, BatchState.HELD)
MAKING = (
    BatchState.IN_PROCESS,
    BatchState.POURED,
    BatchState.CUT,
    BatchState.CURING,
    BatchState.READY_FOR_REVIEW,
    BatchState.HELD,
)


@dataclass(frozen=True)
class BatchRow:
    batch: Batch
    shape: str
    orders: str
    left_to_weigh: int
    open_deviations: int
    is_late: bool
    picture: Picture


@dataclass(frozen=True)
class LineView:
    weighing: Weighing
    running_total: Decimal | None
    lots: tuple[Lot, ...]
    is_next: bool
    is_first_of_phase: bool

    @property
    def is_left_out(self) -> bool:
        return self.weighing.is_weighed and self.weighing.lot_id is None


@dataclass(frozen=True)
class BatchPage:
    batch: Batch
    plan: FrozenPlan
    shape: str
    lines: tuple[LineView, ...]
    next_line: LineView | None
    weighed: int
    picture: Picture
    dangers: tuple[Caution, ...]
    steps: tuple[StepRecord, ...]
    open_deviations: tuple[Deviation, ...]
    superfat_is_low: bool
    is_lye_heavy: bool
    rescue: tuple[tuple[str, Decimal], ...]
    outcome: Outcome
    timers: tuple[Any, ...] = ()  # those that run, first started first

    @property
    def oils_weighed(self) -> Decimal:
        """Return the grams of the shared pot as far as they are weighed."""
        oils = (line.weighing for line in self.lines if line.weighing.phase == Weighing.Phase.OILS)
        return sum((weighing.actual_grams or Decimal(0) for weighing in oils), Decimal(0))

    @property
    def step_rows(self) -> list[tuple[StepRecord, str]]:
        """Each step with what the design's way says beside it."""
        notes = {step.key: step.note for step in self.plan.route}
        return [(step, notes.get(step.key, "")) for step in self.steps]

    @property
    def ticked_elsewhere(self) -> tuple[str, ...]:
        return ITS_OWN_PAGE

    @property
    def is_at_the_bench(self) -> bool:
        """Wet hands: while it is weighed, poured and cut."""
        return self.batch.state in (BatchState.IN_PROCESS, BatchState.POURED)

    @property
    def has_timers(self) -> bool:
        return self.batch.state in WITH_HANDS_ON

    @property
    def is_on_the_rack(self) -> bool:
        return self.batch.state in (BatchState.CURING, BatchState.READY_FOR_REVIEW, BatchState.RELEASED)

    @property
    def jugs(self) -> list[FrozenPortion]:
        """Each jug once, in the order of pouring; a letter drawn in two places is one jug."""
        by_letter = {portion.letter: portion for portion in self.plan.portions}
        return sorted(by_letter.values(), key=lambda jug: (jug.pour_order, jug.letter))

    @property
    def poured_jugs(self) -> list[PortionFill]:
        """The jugs of which somebody wrote down what they really held, or what was seen."""
        return [jug for jug in self.batch.portions.all() if jug.actual_grams is not None or jug.note]

    @property
    def wordings(self) -> list[str]:
        return [served.line.wording for served in self.batch.serves.all() if served.line.wording]

    @property
    def windows(self) -> list[tuple[str, str]]:
        """Say for each part that joins fresh faces until when; before the cut, by the days after it."""
        return [
            (part.name, attach_window(part.attach_window_days, cut_on=self.batch.cut_on))
            for part in self.plan.parts
            if part.attached_at == "cut" and part.attach_window_days is not None
        ]

    @property
    def can_pour(self) -> bool:
        return self.batch.state == BatchState.IN_PROCESS and self.next_line is None

    @property
    def can_hold(self) -> bool:
        return BatchState.HELD in MOVES[self.batch.state]

    @property
    def can_go_otherwise(self) -> bool:
        return self.batch.state in MAKING

    def has_row(self, form: str, row: int) -> bool:
        """Whether the line or deviation that a form belongs to still waits for it."""
        if form == "decision_form":
            return any(deviation.pk == row for deviation in self.open_deviations)
        if form == "undo_form":
            return any(line.weighing.pk == row and line.weighing.is_weighed for line in self.lines)
        return self.next_line is not None and self.next_line.weighing.pk == row

    @property
    def orders(self) -> list[str]:
        return list(dict.fromkeys(served.line.order.number for served in self.batch.serves.all()))

    def dangers_at(self, step: str) -> list[str]:
        return [danger.text for danger in self.dangers if danger.step == step]

    @property
    def next_dangers(self) -> list[str]:
        """The cautions of the phase that the next line belongs to."""
        if self.next_line is None:
            return self.dangers_at("cut") if self.batch.state == BatchState.POURED else []
        return self.dangers_at({"lye": "lye", "oils": "oils"}.get(self.next_line.weighing.phase, "trace"))


def bench_rows(*, today: date) -> list[BatchRow]:
    """Return every batch that still needs hands before the rack, first to pour first."""
    batches = (
        with_plan_text(Batch.objects.filter(status__in=[state.value for state in AT_THE_BENCH]))
        .select_related("design", "mold", "revision__formula", "test_pour")
        .prefetch_related("serves__line__order", "weighings", "deviations")
        .order_by("pour_on", "number")
    )
    return [_row(batch, today) for batch in batches]


def _row(batch: Batch, today: date) -> BatchRow:
    return BatchRow(
        batch=batch,
        shape=SHAPES[batch.state],
        orders=", ".join(dict.fromkeys(served.line.order.number for served in batch.serves.all())),
        left_to_weigh=sum(1 for weighing in batch.weighings.all() if not weighing.is_weighed),
        open_deviations=sum(1 for deviation in batch.deviations.all() if deviation.is_open),
        is_late=batch.state == BatchState.PLANNED and batch.pour_on < today,
        picture=small_face(batch),
    )


def batch_for_page(number: str) -> Batch | None:
    return (
        # First: of two ways to the same rows, Django takes the first and refuses a fuller one after it.
        Batch.objects.prefetch_related(Prefetch("deviations", Deviation.objects.select_related("by", "decided_by")))
        .for_page()
        .filter(number=number)
        .first()
    )


def batch_page(batch: Batch, *, today: date) -> BatchPage:
    plan = plan_of(batch)
    weighings = list(batch.weighings.all())
    is_weighing = batch.state == BatchState.IN_PROCESS
    lots = _lots_by_material(batch, weighings, today) if is_weighing else {}
    lines = _lines(weighings, lots, is_weighing=is_weighing)
    superfat = batch.superfat_actual_percent
    is_lye_heavy = superfat is not None and superfat <= 0
    is_low = superfat is not None and superfat < plan.superfat_floor_percent
    return BatchPage(
        batch=batch,
        plan=plan,
        shape=SHAPES[batch.state],
        lines=lines,
        next_line=next((line for line in lines if line.is_next), None),
        weighed=sum(1 for weighing in weighings if weighing.is_weighed),
        picture=bar_cross_section_svg(drawn_bar(plan)),
        dangers=cautions(plan),
        steps=tuple(batch.steps.all()),
        open_deviations=tuple(deviation for deviation in batch.deviations.all() if deviation.is_open),
        superfat_is_low=is_low,
        is_lye_heavy=is_lye_heavy,
        rescue=_rescue(batch, plan) if is_low else (),
        outcome=outcome_of(batch, is_weighed_out=all(row.is_weighed for row in weighings), today=today),
        timers=tuple(batch.timers.filter(stopped_at__isnull=True)) if batch.state in WITH_HANDS_ON else (),
    )


def _rescue(batch: Batch, plan: FrozenPlan) -> tuple[tuple[str, Decimal], ...]:
    return rescue(pot_of(batch, planned_too=True), wanted_superfat_percent=plan.superfat.planned)


def _lines(weighings: list[Weighing], lots: dict[int, list[Lot]], *, is_weighing: bool) -> tuple[LineView, ...]:
    """Return the weigh-out with the total that a shared pot should show after each oil."""
    in_pot = Decimal(0)
    found_next = not is_weighing
    lines: list[LineView] = []
    for weighing in weighings:
        running = None
        if weighing.phase == Weighing.Phase.OILS:
            in_pot += weighing.planned_grams if weighing.actual_grams is None else weighing.actual_grams
            running = in_pot
        is_next = not found_next and not weighing.is_weighed
        found_next = found_next or is_next
        is_first = not lines or lines[-1].weighing.phase != weighing.phase
        lines.append(LineView(weighing, running, tuple(lots.get(weighing.material_id, ())), is_next, is_first))
    return tuple(lines)


def _lots_by_material(batch: Batch, weighings: list[Weighing], today: date) -> dict[int, list[Lot]]:
    wanted = {weighing.material_id for weighing in weighings if not weighing.is_weighed}
    found: dict[int, list[Lot]] = {}
    orders = {item.line.order_id for item in batch.serves.all()}
    for lot in Lot.objects.filter(material_id__in=wanted).drawable(on=today, orders=orders):
        found.setdefault(lot.material_id, []).append(lot)
    return found
