"""Pour a design in small to try it, then approve it into the design or turn it down."""

from collections.abc import Mapping
from datetime import date, timedelta
from uuid import UUID

from django.db import transaction

from formulas.actions.approvals import approve_design
from formulas.actions.designs import DesignRefusal
from formulas.finishes import FinishWant
from formulas.models import Design, FormulaRevision, Mold
from production.batch_states import BatchState
from production.batches.actions.planning import write_batch, write_steps
from production.batches.actions.writing import finish_step, locked_batch
from production.batches.asked import JUDGE_TEST, BatchAsk, BatchRefusal
from production.batches.models import Batch
from production.batches.proposal import SIZED_FROM
from production.batches.schedule import asked_without_order, route_of
from production.batches.sizing import size_batch
from production.plan.work_days import current_work_days
from production.planning.countback import CountbackError, PlannedStep
from production.planning.days import plan_forward
from production.planning.layout import lay_out
from production.planning.route import HAND_OVER, LABEL, PACK, RouteError
from production.test_pours.models import TestPour
from production.test_pours.rules import TestPourRefused, TriedBatch, check_approval, check_judged, color_shows_on
from soapshop.audit import note_event
from soapshop.models import User, Workshop

OUT_OF_THE_GAME = (BatchState.HELD, BatchState.REJECTED, BatchState.SCRAPPED, BatchState.REWORKED)
LONGEST_AHEAD = timedelta(days=365)
# Nobody packs a test pour for an order; its release is asked for like that of any other batch.
NOT_FOR_A_TEST = (LABEL, PACK, HAND_OVER)


@transaction.atomic
def plan_test_pour(
    *,
    design_id: int,
    mold_id: int,
    bars: int,
    pour_on: date,
    tries: str,
    today: date,
    by: User,
    part_bars: Mapping[int, int] | None = None,
    typed_once: UUID | None = None,
) -> TestPour:
    """Plan a batch of so many bars that tries a design as it is drawn now. The same form sent twice gives one batch.

    ``part_bars`` says on how many of its bars each part goes, by the part's number.
    """
    taken = TestPour.objects.filter(typed_once=typed_once).first() if typed_once else None
    if taken is not None:
        return taken
    design = Design.objects.select_for_update(of=("self",)).get(pk=design_id)
    read = Design.objects.for_page().prefetch_related(*SIZED_FROM).get(pk=design.pk)
    mold = Mold.objects.get(pk=mold_id)
    _judge_wish(mold, bars, tries, pour_on=pour_on, today=today)
    revision = FormulaRevision.objects.approved().filter(formula=read.formula_id).select_related("formula").first()
    if revision is None:
        raise TestPourRefused(f"The formula {read.formula.name} has no approved revision. Approve one, then try it.")
    ask = BatchAsk(read, revision, mold, 1, bars, _wants(read, part_bars or {}), bars=bars)
    workshop = Workshop.current()
    try:
        batch = write_batch(size_batch(ask, workshop=workshop), ask=ask, day=pour_on, by=by)
        write_steps(batch, _steps(read, revision, bars, workshop=workshop, pour_on=pour_on, today=today))
    except (BatchRefusal, CountbackError, RouteError) as refusal:
        raise TestPourRefused(str(refusal)) from refusal
    pour = TestPour.objects.create(
        batch=batch, bars=bars, tries=tries.strip()[:300], design_saves=design.saves, typed_once=typed_once
    )
    text = f"Planned {batch.number} as a test pour of {design.name}: {pour.tries}"
    note_event(by=by, verb="plan_test_pour", subject=batch, text=text[:400])
    return pour


@transaction.atomic
def approve_test_pour(*, test_pour_id: int, learned: str, on: date, by: User, changed_since: str = "") -> TestPour:
    """Approve the design from this pour: its page then names who, when, from which batch, and what was learned."""
    pour, batch = _locked(test_pour_id)
    tried = _tried(pour, batch)
    check_approval(tried, learned=learned, changed_since=changed_since, on=on)
    pour.changed_since = changed_since.strip()[:300] if tried.drawing_changed else ""
    words = f"{learned.strip()} Changed since: {pour.changed_since}" if pour.changed_since else learned
    try:
        approve_design(design_id=batch.design_id, batch_number=batch.number, learned=words, on=on, by=by)
    except DesignRefusal as refusal:
        raise TestPourRefused(str(refusal)) from refusal
    return _judged(pour, batch, TestPour.Verdict.APPROVED, learned, on=on, by=by)


@transaction.atomic
def turn_down_test_pour(*, test_pour_id: int, learned: str, on: date, by: User) -> TestPour:
    """Note that the design is not to be made like this, and why. The design stays as it is drawn."""
    pour, batch = _locked(test_pour_id)
    check_judged(_tried(pour, batch), learned=learned, on=on)
    return _judged(pour, batch, TestPour.Verdict.TURNED_DOWN, learned, on=on, by=by)


def _judged(pour: TestPour, batch: Batch, verdict: str, learned: str, *, on: date, by: User) -> TestPour:
    pour.verdict, pour.learned, pour.judged_on, pour.judged_by = verdict, learned.strip(), on, by
    pour.save(update_fields=["verdict", "learned", "changed_since", "judged_on", "judged_by"])
    finish_step(batch, JUDGE_TEST, on=on, by=by)
    text = f"Judged the test pour {batch.number}: {pour.get_verdict_display().lower()}. {pour.learned}"
    note_event(by=by, verb="judge_test_pour", subject=batch, text=text[:400], after={"verdict": verdict})
    return pour


def _locked(test_pour_id: int) -> tuple[TestPour, Batch]:
    """Lock the batch first, as every verb of a batch does, then read its test pour as it is now."""
    batch_id = TestPour.objects.values_list("batch_id", flat=True).get(pk=test_pour_id)
    batch = locked_batch(batch_id)
    pour = TestPour.objects.select_for_update().get(pk=test_pour_id)
    if not pour.is_open:
        raise TestPourRefused(
            f"{batch.number} is judged already: {pour.get_verdict_display().lower()}. Pour a new test to change that."
        )
    return pour, batch


def _tried(pour: TestPour, batch: Batch) -> TriedBatch:
    return TriedBatch(
        number=batch.number,
        design=batch.design.name,
        poured_on=batch.poured_on,
        cut_on=batch.cut_on,
        good_bars=batch.bars_cut or 0,
        stopped=batch.state.label.lower() if batch.state in OUT_OF_THE_GAME else "",
        drawing_changed=batch.design.saves != pour.design_saves,
    )


def _judge_wish(mold: Mold, bars: int, tries: str, *, pour_on: date, today: date) -> None:
    if not 1 <= bars <= mold.usable_bars:
        raise TestPourRefused(
            f"{mold.name} gives {mold.usable_bars} bars. Try from 1 to {mold.usable_bars} of them, or a larger mold."
        )
    if len(tries.strip()) < 3:
        raise TestPourRefused("Say in a few words what this pour is to show, such as: does the scent thicken it?")
    if pour_on < today:
        raise TestPourRefused(f"{pour_on:%b} {pour_on.day}, {pour_on.year} has passed. Pour today or later.")
    if pour_on > today + LONGEST_AHEAD:
        raise TestPourRefused("That pour lies more than a year ahead. Check the year.")


def _wants(design: Design, part_bars: Mapping[int, int]) -> tuple[FinishWant, ...]:
    return tuple(
        FinishWant(
            part_key=carried.part.key,
            bars=part_bars[carried.part_id],
            at=carried.part.attached_at,
            kind=carried.part.kind,
            pieces_per_bar=carried.pieces_per_bar,
            name=carried.part.name,
        )
        for carried in design.parts.all()
        if part_bars.get(carried.part_id)
    )


def _steps(
    design: Design, revision: FormulaRevision, bars: int, *, workshop: Workshop, pour_on: date, today: date
) -> tuple[PlannedStep, ...]:
    """Lay the design's way out from the pour, with the day to judge the test on."""
    asked = asked_without_order(
        revision,
        workshop=workshop,
        today=today,
        route=tuple(step for step in route_of(design) if step.key not in NOT_FOR_A_TEST),
        bars=bars,
        until=pour_on + timedelta(days=revision.cure_days + 30),
        calendar=current_work_days(),
    )
    days = plan_forward(asked, pour_on, asked.cure_days)
    steps = lay_out(asked.route, days, asked.calendar, today=today, bars=bars)
    has_scent = any(line.material.is_scent for line in revision.lines.select_related("material"))
    first = pour_on + timedelta(days=2)
    judge_on = asked.calendar.next_open(color_shows_on(pour_on) if has_scent else first)
    judge = PlannedStep(JUDGE_TEST, "Judge the test pour", first, max(judge_on, days.release), judge_on, minutes=10)
    return tuple(sorted((*steps, judge), key=lambda step: step.on_day))
