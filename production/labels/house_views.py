"""The page of what stands on every label: logo and who answers in each market; and a design's safety reports."""

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from production.batches.models import Batch
from production.labels.house_actions import HouseRefused, keep_person, note_assessment
from production.labels.house_forms import AssessmentForm, LogoForm, PersonForm
from production.labels.logos import LogoRefused, keep_logo, take_logo_off
from production.labels.models import Assessment, MarketPerson
from soapshop.acting import act_on, press
from soapshop.photos import PhotoMissing, photo_answer
from soapshop.requests import StaffRequest, owner_only


@require_http_methods(["GET", "POST"])
@owner_only
def label_house(request: StaffRequest) -> HttpResponse:
    """Show the logo and the people of each market; the form of one market keeps its person."""
    typed = PersonForm(request.POST) if request.method == "POST" else None
    led_on = typed and act_on(
        request,
        typed,
        lambda: keep_person(**typed.cleaned_data, by=request.user),
        refusal=HouseRefused,
        done=lambda kept: f"{kept.name} stands on labels for {kept.get_market_display()} from now on.",
        to=reverse("production:label-house"),
    )
    return led_on or render(request, "production/labels/house.html", _house_page(typed, LogoForm()))


@require_POST
@owner_only
def logo(request: StaffRequest) -> HttpResponse:
    """Keep a new logo, or take it off."""
    if "take_off" in request.POST:
        to = reverse("production:label-house")
        return press(request, lambda: take_logo_off(by=request.user), refusal=LogoRefused, to=to)
    form = LogoForm(request.POST, request.FILES)
    if form.is_valid():
        try:
            keep_logo(photo=form.cleaned_data["photo"], by=request.user)
        except LogoRefused as refusal:
            form.add_error("photo", str(refusal))
        else:
            messages.success(request, "The logo is kept. Print a trial sheet to see it on paper.")
            return redirect("production:label-house")
    return render(request, "production/labels/house.html", _house_page(None, form), status=422)


@require_GET
def logo_picture(request: StaffRequest) -> HttpResponse:
    try:
        return photo_answer(request, request.workshop.logo_name)
    except PhotoMissing as missing:
        raise Http404(str(missing)) from missing


@require_http_methods(["GET", "POST"])
def assessment(request: StaffRequest, number: str) -> HttpResponse:
    """The safety reports on the design of a batch; the form writes one down."""
    batch = get_object_or_404(Batch.objects.select_related("design__formula", "revision"), number=number)
    form = AssessmentForm(
        request.POST or None, initial={"revision_number": batch.revision.number if batch.revision else None}
    )
    if form.is_valid():
        if not request.user.is_owner:
            form.add_error(None, "Only an owner may write down a safety report. Ask one of them.")
        elif _noted(request, batch, form):
            query = urlencode({"market": form.cleaned_data["market"]})
            return redirect(f"{reverse('production:label-working', args=[number])}?{query}")
    reports = Assessment.objects.filter(design=batch.design).select_related("noted_by")
    return render(request, "production/labels/assessment.html", {"batch": batch, "form": form, "reports": reports})


def _noted(request: StaffRequest, batch: Batch, form: AssessmentForm) -> bool:
    """Write the report down, or the refusal into the form."""
    try:
        kept = note_assessment(design=batch.design, by=request.user, on=timezone.localdate(), **form.cleaned_data)
    except HouseRefused as refusal:
        form.add_error(None, str(refusal))
        return False
    messages.success(request, f"Report {kept.report} is on file for {batch.design}.")
    return True


def _house_page(typed: PersonForm | None, logo_form: LogoForm) -> dict[str, Any]:
    """A form for each market; the one that was typed into keeps what was typed."""
    rows = {row.market: row for row in MarketPerson.objects.all()}
    people = []
    for market, name in MarketPerson.Market.choices:
        row = rows.get(market)
        kept = {"name": row.name, "address": row.address, "origin": row.origin} if row else {}
        is_typed = typed is not None and typed.data.get("market") == market
        form = typed if is_typed else PersonForm(initial={"market": market, **kept}, auto_id=f"{market}_%s")
        people.append({"name": name, "row": row, "form": form})
    return {"people": people, "logo_form": logo_form}
