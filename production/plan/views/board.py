"""The plan as a picture, the proposal beside it, and taking it over."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from production.batches.models import Batch
from production.plan.actions.moving import PlanRefusal, pin_batch, unpin_batch
from production.plan.actions.proposals import accept_plan, propose_plan, rungs_of
from production.plan.board import board_of
from production.plan.changes import changes_of, late_words, relief_words, rung_words
from production.plan.models import BatchPin, PlanRun
from production.plan.records import shop_plan
from production.planning.plan_json import input_hash
from production.planning.plan_records import Plan
from soapshop.requests import StaffRequest

# How long the solver may look while a person waits for the page.
PAGE_SECONDS = 6.0


@require_GET
def plan_board(request: StaffRequest) -> HttpResponse:
    """Show the shop's plan; with a proposal that still fits the shop, show that beside it."""
    shop = shop_plan(today=timezone.localdate())
    standing = Plan((*shop.asked.fixed, *shop.asked.movable), shop.asked.reserved)
    run = PlanRun.objects.filter(accepted_at__isnull=True, for_day=shop.asked.today).first()
    if run is not None and run.input_hash != input_hash(shop.asked):
        run = None
    rungs = rungs_of(run) if run else ()
    chosen = _place(request.GET.get("rung", ""), len(rungs))
    plan = rungs[chosen].answer.plan if rungs else standing
    context = {
        "shop": shop,
        "board": board_of(shop, plan, standing=standing),
        "run": run,
        "rungs": rung_words(rungs),
        "rung": rungs[chosen] if rungs else None,
        "chosen": chosen,
        "changes": changes_of(shop, plan) if rungs else (),
        "late": late_words(shop, plan),
        "reliefs": relief_words(shop) if rungs and rungs[chosen].late_days else (),
        "pins": BatchPin.objects.select_related("batch__design"),
        "movable": [shop.batches[each.key] for each in shop.asked.movable],
        "today": shop.asked.today,
    }
    return render(request, "production/plan_board/board.html", context)


def _place(text: str, count: int) -> int:
    """Read the rung that was asked for; the last one has the fewest late days."""
    if text.isascii() and text.isdecimal() and int(text[:3]) < count:
        return int(text[:3])
    return max(count - 1, 0)


@require_POST
def plan_propose(request: StaffRequest) -> HttpResponse:
    run = propose_plan(today=timezone.localdate(), seconds=PAGE_SECONDS, by=request.user)
    problems = [problem for rung in rungs_of(run) for problem in rung.answer.problems]
    for problem in problems[:3]:
        messages.warning(request, f"{problem.text} {problem.mend}".strip())
    return redirect("production:plan-board")


@require_POST
def plan_accept(request: StaffRequest, pk: int) -> HttpResponse:
    run = get_object_or_404(PlanRun, pk=pk)
    keys = frozenset(request.POST.getlist("batch"))
    rung = request.POST.get("rung", "")
    try:
        place = _place(rung, len(run.answer["rungs"]))
        accept_plan(run_id=run.pk, rung=place, keys=keys, today=timezone.localdate(), by=request.user)
    except PlanRefusal as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, "The plan is taken over. The bench and the cure rack follow it.")
    return redirect("production:plan-board")


@require_POST
def batch_pin(request: StaffRequest, number: str) -> HttpResponse:
    """Keep a batch where it is, or let it move again."""
    batch = get_object_or_404(Batch, number=number)
    if request.POST.get("keep") == "yes":
        pin_batch(batch_id=batch.pk, by=request.user)
        messages.success(request, f"{batch} stays where it is.")
    else:
        unpin_batch(batch_id=batch.pk, by=request.user)
        messages.success(request, f"{batch} may move again.")
    return redirect("production:plan-board")
