"""Work a plan out in the background: start it, follow it on its row, stop it with the best so far."""

from datetime import date
from typing import Any

from django.db import transaction
from django.utils import timezone

from production.plan.actions.moving import PlanRefusal
from production.plan.late_lines import late_facts
from production.plan.models import PlanRun, WorkWeek
from production.plan.records import shop_plan
from production.planning.plan_answer import Budget
from production.planning.plan_check import check
from production.planning.plan_json import as_json, from_json, input_hash
from production.planning.plan_records import PlanInput
from production.planning.repair import Rung
from production.planning.worker import Told, ladder_apart
from soapshop.audit import note_event
from soapshop.models import User

WORKING, DONE, STOPPED = PlanRun.Work.WORKING, PlanRun.Work.DONE, PlanRun.Work.STOPPED
LONGEST_SECONDS = 600


@transaction.atomic
def start_plan(*, today: date, seconds: int, by: User | None) -> PlanRun:
    """Write down what is to be planned. One plan at a time: while another is worked out, this is refused."""
    WorkWeek.current()
    WorkWeek.objects.select_for_update().get(pk=1)
    if not 0 <= seconds <= LONGEST_SECONDS:
        raise PlanRefusal(f"A plan can take from 0 to {LONGEST_SECONDS} seconds. Give a number in between.")
    now = timezone.now()
    if any(run.is_working(now) for run in PlanRun.objects.filter(work=WORKING)):
        raise PlanRefusal("A plan is being worked out already. Wait for it, or stop it and start again.")
    asked = shop_plan(today=today).asked
    return PlanRun.objects.create(
        by=by,
        for_day=today,
        input_hash=input_hash(asked),
        asked=as_json(asked),
        work=WORKING,
        seconds=seconds,
        told_at=now,
    )


def work_plan(*, run_id: int, seconds: float | None = None) -> PlanRun:
    """Work the plan out in a process of its own and keep what is found; its row says meanwhile how it goes.

    Runs outside any transaction: it takes as long as its seconds, and each note on the row is a write of its own.
    """
    run = PlanRun.objects.get(pk=run_id)
    if run.work != WORKING:
        return run
    asked = from_json(PlanInput, run.asked)
    budget = Budget(seconds=run.seconds if seconds is None else seconds)
    rungs = ladder_apart(asked, budget, tell=lambda told: _note(run.pk, asked, told), is_stopped=lambda: _stop(run.pk))
    return _finish(run_id=run.pk, asked=asked, rungs=rungs)


def _note(run_id: int, asked: PlanInput, told: Told) -> None:
    """Write down that the work goes on, and what is better than before."""
    changes: dict[str, Any] = {"told_at": timezone.now()}
    if "late_days" in told:
        changes["late_days_so_far"] = told["late_days"]
    if "rungs" in told:
        rungs = tuple(from_json(Rung, each) for each in told["rungs"])
        changes["answer"] = {"rungs": [as_json(rung) for rung in sound_rungs(asked, rungs)]}
        changes["late_days_so_far"] = rungs[-1].late_days
    PlanRun.objects.filter(pk=run_id, work=WORKING).update(**changes)


def _stop(run_id: int) -> bool:
    return PlanRun.objects.filter(pk=run_id, is_stop_asked=True).exists()


@transaction.atomic
def _finish(*, run_id: int, asked: PlanInput, rungs: tuple[Rung, ...]) -> PlanRun:
    run = PlanRun.objects.select_for_update().get(pk=run_id)
    kept = sound_rungs(asked, rungs)
    run.answer = {
        "rungs": [as_json(rung) for rung in kept],
        "late": [late_facts(asked, rung.answer.plan) for rung in kept],
    }
    run.work = STOPPED if run.is_stop_asked else DONE
    run.told_at, run.late_days_so_far = timezone.now(), kept[-1].late_days
    run.save(update_fields=["answer", "work", "told_at", "late_days_so_far"])
    return run


def sound_rungs(asked: PlanInput, rungs: tuple[Rung, ...]) -> tuple[Rung, ...]:
    """Return the rungs that pass the check; where none does, the first with what it could not place."""
    sound = tuple(rung for rung in rungs if rung.is_whole and not check(asked, rung.answer.plan))
    return sound or rungs[:1]


@transaction.atomic
def stop_plan(*, run_id: int, by: User) -> PlanRun:
    """Ask for an end; who works it out keeps the best so far. Where nobody works any more, the row says so."""
    run = PlanRun.objects.select_for_update().get(pk=run_id)
    if run.work != WORKING:
        return run
    run.is_stop_asked = True
    if run.has_broken_off(timezone.now()):
        run.work = PlanRun.Work.BROKEN
    run.save(update_fields=["is_stop_asked", "work"])
    note_event(by=by, verb="stop_plan", subject=run, text=f"Stopped working out {run}.")
    return run
