"""Rows of batches on the rack to frozen records: what the judge of readiness and the forecast are asked with."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Exists, F, OuterRef, Prefetch, Q, QuerySet

from production.batch_states import BatchState
from production.batches.frozen import FrozenPlan
from production.batches.models import Batch, BatchFor, Deviation, Weighing
from production.cure.alkali import CheckMade
from production.cure.facts import CureFacts
from production.cure.forecast import (
    DryingFacts,
    DryingPrior,
    Forecast,
    ForecastError,
    forecast_cure,
    forecast_ready_day,
    prior_from_batches,
)
from production.cure.models import Check, CureWeighing
from production.cure.prior import STANDARD_PRIOR
from production.cure.rack_plans import face_of, rack_plan, with_plan_text
from production.cure.ranges import DayRange
from production.cure.readiness import Readiness, judge_readiness
from production.cure.weights import BarWeighing, MarkedBar

# The newest finished batches of a formula that teach what to expect of the next one.
TEACHING_BATCHES, TEACHING_WEIGHINGS, TEACHING_DAYS = 5, 3, 730
MOST_BATCHES_READ = 60

_WEIGHED: "Prefetch[Any]" = Prefetch(
    "weighings",
    Weighing.objects.only("batch_id", "material_id", "planned_grams", "actual_grams").annotate(
        lot_expires_on=F("lot__expires_on")
    ),
)


@dataclass(frozen=True)
class WaterShare:
    """Water and scent of the fresh bar, from what was weighed (planned weights where nothing was weighed yet)."""

    water_percent: Decimal
    scent_percent: Decimal


@dataclass(frozen=True)
class CuringBatch:
    """One batch on the rack with everything that is known and expected of it on one day."""

    batch: Batch
    plan: FrozenPlan
    facts: CureFacts
    readiness: Readiness
    water: WaterShare
    forecast: Forecast | None
    ready_days: DayRange | None


def for_rack(batches: QuerySet[Batch]) -> QuerySet[Batch]:
    """Load what the rack needs of each batch, in a fixed number of queries however many there are."""
    return (
        with_plan_text(batches)
        .select_related("design", "revision__formula")
        .prefetch_related(
            "cure_weighings",
            "checks",
            "releases",
            Prefetch("serves", BatchFor.objects.select_related("line__order__customer")),
            _WEIGHED,
            Prefetch("deviations", Deviation.objects.filter(decision="").only("batch_id", "what", "decision")),
        )
    )


def curing_batches(
    batches: Sequence[Batch], *, today: date, finished: Iterable[Batch] | None = None
) -> list[CuringBatch]:
    """Judge batches that were loaded by ``for_rack``, each with what its formula's finished batches teach."""
    if finished is None:
        formulas = {batch.revision.formula_id for batch in batches if batch.revision}
        finished = (
            with_plan_text(teaching_batches(today=today))
            .filter(revision__formula_id__in=formulas)
            .select_related("revision")
            .prefetch_related("cure_weighings", _WEIGHED)[:MOST_BATCHES_READ]
        )
    lessons = _lessons(finished)
    return [_curing(batch, _prior_for(batch, lessons), today=today) for batch in batches]


def with_its_teachers(number: str, *, today: date) -> tuple[Batch | None, list[Batch]]:
    """Return one batch and the finished ones that teach its forecast, read together; None where there is none."""
    formula = Batch.objects.filter(number=number).values("revision__formula_id")
    teachers = teaching_batches(today=today).filter(revision__formula_id__in=formula).values("pk")[:MOST_BATCHES_READ]
    both = list(for_rack(Batch.objects.filter(Q(number=number) | Q(pk__in=teachers))).order_by("-poured_on", "-pk"))
    return next((each for each in both if each.number == number), None), [
        each for each in both if each.state == BatchState.RELEASED
    ]


def teaching_batches(*, today: date) -> QuerySet[Batch]:
    """Released batches whose weighings tell how their formula dries, newest first."""
    weighed = CureWeighing.objects.filter(batch=OuterRef("pk"), is_set_aside=False)
    return Batch.objects.filter(
        Exists(weighed), status=BatchState.RELEASED.value, poured_on__gte=today - timedelta(days=TEACHING_DAYS)
    ).order_by("-poured_on", "-pk")


def _curing(batch: Batch, prior: DryingPrior, *, today: date) -> CuringBatch:
    plan = face_of(batch)
    water = water_of(batch, plan)
    forecast = forecast_of(batch, water, prior)
    ready_days = None
    if forecast is not None and batch.poured_on is not None:
        ready_days = forecast_ready_day(forecast, poured_on=batch.poured_on, cure_days=batch.cure_days)
    facts = cure_facts(batch, plan, water, ready_days, today=today)
    return CuringBatch(batch, plan, facts, judge_readiness(facts), water, forecast, ready_days)


def cure_facts(
    batch: Batch, plan: FrozenPlan, water: WaterShare, ready_days: DayRange | None, *, today: date
) -> CureFacts:
    return CureFacts(
        poured_on=batch.poured_on or batch.pour_on,
        today=today,
        cut_on=batch.cut_on,
        cure_days=batch.cure_days,
        least_cure_days=batch.least_cure_days,
        bars=marked_bars(batch.cure_weighings.all()),
        checks=tuple(check_made(check) for check in batch.checks.all()),
        open_deviations=tuple(deviation.what for deviation in batch.deviations.all() if deviation.is_open),
        has_hold=batch.state == BatchState.HELD,
        hold_reason=batch.hold_reason,
        batch=batch.number,
        superfat_percent=batch.superfat_actual_percent,
        superfat_floor_percent=plan.superfat_floor_percent,
        water_percent=water.water_percent,
        scent_percent=water.scent_percent,
        forecast_ready_on=ready_days.expected if ready_days else None,
    )


def marked_bars(weighings: Iterable[CureWeighing]) -> tuple[MarkedBar, ...]:
    """Return each marked bar with its weighings; those set aside are kept in the book only."""
    found: dict[str, list[BarWeighing]] = {}
    for weighing in weighings:
        if not weighing.is_set_aside:
            found.setdefault(weighing.bar_mark, []).append(BarWeighing(weighing.on, weighing.grams))
    return tuple(MarkedBar(mark, tuple(own)) for mark, own in found.items())


def check_made(check: Check) -> CheckMade:
    return CheckMade(
        method=check.method,
        on=check.on,
        figure=check.figure,
        is_normal=check.verdict == Check.Verdict.CLEAR,
        is_meter_checked=check.is_meter_checked,
    )


def water_of(batch: Batch, plan: FrozenPlan) -> WaterShare:
    """Return the planned water share, moved by what the scale said; evaporation before the cut is left out."""
    known = rack_plan(batch)
    planned = actual = planned_water = actual_water = scent = Decimal(0)
    for weighing in batch.weighings.all():
        grams = weighing.planned_grams if weighing.actual_grams is None else weighing.actual_grams
        planned, actual = planned + weighing.planned_grams, actual + grams
        scent += grams if weighing.material_id in known.scent_ids else 0
        percent = known.water_percents.get(weighing.material_id)
        if percent is not None:
            planned_water += weighing.planned_grams * percent / 100
            actual_water += grams * percent / 100
    if not planned_water or not actual:
        return WaterShare(plan.water_percent_of_batch, Decimal(0))
    moved = (actual_water / actual) / (planned_water / planned)
    return WaterShare(plan.water_percent_of_batch * moved, scent / actual * 100)


def forecast_of(batch: Batch, water: WaterShare, prior: DryingPrior) -> Forecast | None:
    """Return the fitted drying, or None before the cut or where the water of the batch makes no sense."""
    if batch.cut_on is None:
        return None
    facts = DryingFacts(
        cut_on=batch.cut_on,
        water_percent=water.water_percent,
        bars=marked_bars(batch.cure_weighings.all()),
        fresh_grams=batch.mean_cut_bar_grams,
        scent_percent=water.scent_percent,
        prior=prior,
    )
    try:
        return forecast_cure(facts)
    except ForecastError:
        return None


def _lessons(finished: Iterable[Batch]) -> dict[int, list[tuple[int, Forecast]]]:
    """Return by formula what the weighings of finished batches say, each with its batch."""
    lessons: defaultdict[int, list[tuple[int, Forecast]]] = defaultdict(list)
    for batch in finished:
        if batch.revision is None:
            continue
        own = lessons[batch.revision.formula_id]
        if len(own) <= TEACHING_BATCHES and len(batch.cure_weighings.all()) >= TEACHING_WEIGHINGS:
            forecast = forecast_of(batch, water_of(batch, face_of(batch)), STANDARD_PRIOR)
            own += [(batch.pk, forecast)] if forecast else []
    return lessons


def _prior_for(batch: Batch, lessons: dict[int, list[tuple[int, Forecast]]]) -> DryingPrior:
    """A batch never teaches itself; a rebatch has no formula to learn from."""
    if batch.revision is None:
        return prior_from_batches(())
    others = [forecast for pk, forecast in lessons.get(batch.revision.formula_id, ()) if pk != batch.pk]
    return prior_from_batches(tuple(others[:TEACHING_BATCHES]))
