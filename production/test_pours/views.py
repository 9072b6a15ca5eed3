"""The pages of test pours: plan one of a design, look at it, judge it."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from formulas.models import Design
from production.test_pours.actions import approve_test_pour, plan_test_pour, turn_down_test_pour
from production.test_pours.forms import JudgeTestForm, PlanTestForm
from production.test_pours.models import TestPour
from production.test_pours.reads import test_pour_page
from production.test_pours.rules import TestPourRefused
from soapshop.requests import StaffRequest


@require_http_methods(["GET", "POST"])
def test_pour_new(request: StaffRequest, design_id: int) -> HttpResponse:
    design = get_object_or_404(Design.objects.for_page(), pk=design_id)
    today = timezone.localdate()
    form = PlanTestForm(request.POST or None, design=design, today=today)
    if form.is_valid():
        wanted = form.cleaned_data
        try:
            pour = plan_test_pour(
                design_id=design.pk,
                mold_id=wanted["mold"].pk,
                bars=wanted["bars"],
                pour_on=wanted["pour_on"],
                tries=wanted["tries"],
                part_bars=form.part_bars,
                typed_once=wanted["typed_once"],
                today=today,
                by=request.user,
            )
        except TestPourRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"{pour.batch.number} is planned. Print its ticket, weigh and pour it.")
            return redirect(pour.batch)
    context = {"design": design, "form": form}
    return render(request, "production/test_pours/new.html", context, status=422 if form.is_bound else 200)


@require_http_methods(["GET", "POST"])
def test_pour(request: StaffRequest, number: str) -> HttpResponse:
    """Show a test pour; the two buttons approve the design from it, or turn it down."""
    pours = TestPour.objects.select_related("batch__design__mold", "judged_by")
    shown = get_object_or_404(pours, batch__number=number)
    today = timezone.localdate()
    page = test_pour_page(shown, today=today)
    form = JudgeTestForm(request.POST or None, drawing_changed=page.drawing_changed)
    if form.is_valid():
        try:
            _judge(request, shown, form)
        except TestPourRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "It is judged. What it taught now stands on the page of the design.")
            return redirect(shown.batch.design)
    context = {"pour": shown, "page": page, "form": form, "today": today}
    return render(request, "production/test_pours/test_pour.html", context, status=422 if form.is_bound else 200)


def _judge(request: StaffRequest, pour: TestPour, form: JudgeTestForm) -> None:
    learned, today = form.cleaned_data["learned"], timezone.localdate()
    if "approve" in request.POST:
        changed = form.cleaned_data.get("changed_since", "")
        approve_test_pour(test_pour_id=pour.pk, learned=learned, changed_since=changed, on=today, by=request.user)
    else:
        turn_down_test_pour(test_pour_id=pour.pk, learned=learned, on=today, by=request.user)
