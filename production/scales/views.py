"""The scales: their list, their figures, the daily check."""

from django.contrib import messages
from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from production.scales.actions import check_scale, limit_of, retire_scale, save_scale, waive_check
from production.scales.forms import CheckForm, ScaleForm, WaiveForm
from production.scales.models import Scale, ScaleCheck
from production.scales.reads import NEWEST, UNCHECKED, scale_rows, weighed_since_good
from production.scales.taking import ScaleRefusal
from soapshop.acting import act_on
from soapshop.requests import StaffRequest


@require_GET
def scale_list(request: StaffRequest) -> HttpResponse:
    rows = scale_rows(today=timezone.localdate())
    unchecked = [row for row in rows if row.standing is UNCHECKED]
    return render(request, "production/scales/scale_list.html", {"rows": rows, "unchecked": unchecked})


@require_http_methods(["GET", "POST"])
def scale_new(request: StaffRequest) -> HttpResponse:
    form = ScaleForm(request.POST if request.method == "POST" else None)
    led_on = act_on(
        request,
        form,
        lambda: save_scale(figures=form.figures, by=request.user),
        refusal=ScaleRefusal,
        done=lambda scale: f"{scale.name} is on the list. Check it with its test weight.",
    )
    return led_on or render(
        request, "production/scales/scale_new.html", {"form": form}, status=422 if form.errors else 200
    )


@require_GET
def scale(request: StaffRequest, pk: int) -> HttpResponse:
    return _show(request, pk)


def _show(request: StaffRequest, pk: int, **typed: Form) -> HttpResponse:
    found = get_object_or_404(Scale, pk=pk)
    today = timezone.localdate()
    checks = list(found.checks.select_related("by")[:NEWEST])
    last = checks[0] if checks else None
    failed = last if last is not None and last.verdict == ScaleCheck.Verdict.FAILED else None
    context = {
        "scale": found,
        "today": today,
        "checks": checks,
        "is_checked": last is not None and last.is_of(today),
        "failed": failed,
        "doubtful": weighed_since_good(failed) if failed else (),
        "limit": limit_of(found),
        "check_form": CheckForm(prefix="check"),
        "waive_form": WaiveForm(prefix="waive"),
        "figures_form": ScaleForm.for_scale(found),
        "open_form": next(iter(typed), ""),
        **typed,
    }
    return render(request, "production/scales/scale.html", context, status=422 if typed else 200)


@require_POST
def scale_check(request: StaffRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Scale, pk=pk)
    form = CheckForm(request.POST, prefix="check")
    if form.is_valid():
        try:
            check = check_scale(scale_id=pk, on=timezone.localdate(), by=request.user, **form.cleaned_data)
        except ScaleRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            if check.verdict == ScaleCheck.Verdict.FAILED:
                messages.error(request, f"{found.name} is off by more than it may. What it weighed is listed below.")
            else:
                messages.success(request, f"{found.name} is true today.")
            return redirect(found)
    return _show(request, pk, check_form=form)


@require_POST
def scale_waive(request: StaffRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Scale, pk=pk)
    form = WaiveForm(request.POST, prefix="waive")
    led_on = act_on(
        request,
        form,
        lambda: waive_check(scale_id=pk, on=timezone.localdate(), by=request.user, **form.cleaned_data),
        refusal=ScaleRefusal,
        done=f"{found.name} may be used unchecked today; your name stands beside it.",
        to=found,
    )
    return led_on or _show(request, pk, waive_form=form)


@require_POST
def scale_figures(request: StaffRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Scale, pk=pk)
    form = ScaleForm.for_scale(found, request.POST)
    led_on = act_on(
        request,
        form,
        lambda: save_scale(scale_id=pk, figures=form.figures, by=request.user),
        refusal=ScaleRefusal,
        done="The scale is saved.",
        to=found,
    )
    return led_on or _show(request, pk, figures_form=form)


@require_POST
def scale_retire(request: StaffRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Scale, pk=pk)
    retire_scale(scale_id=pk, on=timezone.localdate(), by=request.user)
    messages.success(request, f"{found.name} is out of use.")
    return redirect("production:scale-list")
