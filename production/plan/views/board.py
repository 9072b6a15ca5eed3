"""The plan as a picture, the proposal beside it, and taking it over."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.dateparse import parse_date
from django.views.decorators.http import require_GET, require_POST

from production.batches.models import Batch
from production.plan.actions.moving import PlanRefusal, pin_batch, unpin_batch
from production.plan.actions.proposals import accept_plan, rungs_of
from production.plan.actions.working import start_plan, stop_plan
from production.plan.background import work_in_background
from production.plan.board import board_of
from production.plan.changes import changes_of, rung_words
from production.plan.forms import ProposeForm
from production.plan.late_lines import cannot_stay_words, late_words, relief_words, useless_words
from production.plan.models import BatchPin, PlanRun
from production.plan.parts_ahead import parts_to_make
from production.plan.records import ShopPlan, shop_plan
from production.plan.week import week_list
from production.planning.plan_json import input_hash
from production.planning.plan_records import Plan
from soapshop.requests import StaffRequest

FIRST_YEAR, LAST_YEAR = 2000, 2100


@require_GET
def plan_board(request: StaffRequest) -> HttpResponse:
    """Show the shop's plan; with a proposal that still fits the shop, show that beside it. Nothing is planned here."""
    shop, now = shop_plan(today=timezone.localdate()), timezone.now()
    standing = Plan((*shop.asked.fixed, *shop.asked.movable), shop.asked.reserved)
    run = _open_run(shop)
    rungs = rungs_of(run) if run else ()
    chosen = _place(request.GET.get("rung", ""), len(rungs))
    facts = run.answer.get("late", []) if run else []
    late = facts[chosen] if chosen < len(facts) else {}
    plan = rungs[chosen].answer.plan if rungs else standing
    context = {
        "shop": shop,
        "board": board_of(shop, plan, standing=standing),
        "run": run if rungs else None,
        "work": run,
        "is_working": run is not None and run.is_working(now),
        "has_broken_off": run is not None and run.has_broken_off(now),
        "rungs": rung_words(rungs),
        "rung": rungs[chosen] if rungs else None,
        "chosen": chosen,
        "changes": changes_of(shop, plan) if rungs else (),
        "late": late_words(late),
        "reliefs": relief_words(late),
        "useless": useless_words(late),
        "form": ProposeForm(),
        "pins": BatchPin.objects.select_related("batch__design"),
        "movable": [shop.batches[each.key] for each in shop.asked.movable],
        "cannot_stay": "" if rungs else cannot_stay_words(shop.asked),
        "parts": parts_to_make(shop.calendar, today=shop.asked.today),
        "today": shop.asked.today,
    }
    return render(request, "production/plan_board/board.html", context)


def _open_run(shop: ShopPlan) -> PlanRun | None:
    """The last plan that nobody took over and that was made from the shop as it still stands."""
    run = PlanRun.objects.filter(accepted_at__isnull=True, for_day=shop.asked.today).first()
    return run if run is not None and run.input_hash == input_hash(shop.asked) else None


@require_GET
def plan_week(request: StaffRequest) -> HttpResponse:
    """The list of one week, to print and pin up; nonsense for a day shows this week."""
    today = timezone.localdate()
    try:
        day = parse_date(request.GET.get("day", "")) or today
    except ValueError:
        day = today
    if not FIRST_YEAR < day.year < LAST_YEAR:
        day = today
    return render(request, "production/plan_board/week.html", {"week": week_list(day), "today": today})


def _place(text: str, count: int) -> int:
    """Read the rung that was asked for; the last one has the fewest late days."""
    if text.isascii() and text.isdecimal() and int(text[:3]) < count:
        return int(text[:3])
    return max(count - 1, 0)


@require_POST
def plan_propose(request: StaffRequest) -> HttpResponse:
    form = ProposeForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Choose how long the search may take.")
        return redirect("production:plan-board")
    try:
        run = start_plan(today=timezone.localdate(), seconds=form.cleaned_data["seconds"], by=request.user)
    except PlanRefusal as refusal:
        messages.error(request, str(refusal))
    else:
        work_in_background(run)
    return redirect("production:plan-board")


@require_GET
def plan_progress(request: StaffRequest, pk: int) -> HttpResponse:
    """The panel that says how far a plan is; once it is worked out the whole page is asked for anew."""
    run, now = get_object_or_404(PlanRun, pk=pk), timezone.now()
    response = render(request, "production/plan_board/components/progress.html", {"work": run})
    if not run.is_working(now):
        response["HX-Refresh"] = "true"
    return response


@require_POST
def plan_stop(request: StaffRequest, pk: int) -> HttpResponse:
    run = stop_plan(run_id=get_object_or_404(PlanRun, pk=pk).pk, by=request.user)
    if run.work == PlanRun.Work.WORKING:
        messages.success(request, "It stops in a moment; the best plan so far is kept.")
    return redirect("production:plan-board")


@require_POST
def plan_accept(request: StaffRequest, pk: int) -> HttpResponse:
    run = get_object_or_404(PlanRun, pk=pk)
    keys = frozenset(request.POST.getlist("batch"))
    rung = request.POST.get("rung", "")
    try:
        place = _place(rung, len(run.answer.get("rungs", ())))
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
