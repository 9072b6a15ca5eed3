"""The bars of one batch: where each is, and the forms that move single ones."""

from collections.abc import Callable
from typing import Any

from django.forms import Form
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from production.bar_ledger import BarState
from production.batches.asked import BatchRefusal
from production.cure.actions.bars import set_bars_aside
from production.cure.actions.finishing import change_finish
from production.cure.actions.judging import let_seconds_go, put_back_bars
from production.cure.bars_forms import BarsForm, FinishForm, LetGoForm, PutBackForm
from production.cure.bars_reads import BarsPage, bars_page
from soapshop.acting import act_on
from soapshop.requests import StaffRequest


@require_http_methods(["GET", "POST"])
def cure_bars(request: StaffRequest, number: str) -> HttpResponse:
    """Show where every bar is; the first form takes bars out."""
    page = _page(number)
    if request.method != "POST":
        return _show(request, page)
    form = BarsForm(request.POST, places=page.to_take, prefix="bars")

    def act() -> object:
        finish, place = form.place
        return set_bars_aside(
            batch_id=page.batch.pk,
            finish=finish,
            from_state=place,
            to_state=BarState(form.cleaned_data["to_state"]),
            bars=form.cleaned_data["bars"],
            note=form.cleaned_data["note"],
            by=request.user,
            typed_once=form.cleaned_data["typed_once"],
        )

    return _try(request, page, "bars", form, act)


@require_POST
def cure_put_back(request: StaffRequest, number: str) -> HttpResponse:
    page = _page(number)
    form = PutBackForm(request.POST, places=page.to_judge, prefix="sound")

    def act() -> object:
        finish, place = form.place
        return put_back_bars(
            batch_id=page.batch.pk,
            finish=finish,
            from_state=place,
            bars=form.cleaned_data["bars"],
            words=form.cleaned_data["words"],
            by=request.user,
            typed_once=form.cleaned_data["typed_once"],
        )

    return _try(request, page, "sound", form, act)


@require_POST
def cure_let_go(request: StaffRequest, number: str) -> HttpResponse:
    page = _page(number)
    form = LetGoForm(request.POST, places=page.seconds, prefix="seconds")

    def act() -> object:
        finish, _ = form.place
        return let_seconds_go(
            batch_id=page.batch.pk,
            finish=finish,
            bars=form.cleaned_data["bars"],
            to_whom=form.cleaned_data["to_whom"],
            by=request.user,
            typed_once=form.cleaned_data["typed_once"],
        )

    return _try(request, page, "seconds", form, act)


@require_POST
def cure_finish(request: StaffRequest, number: str) -> HttpResponse:
    page = _page(number)
    form = _finish_form(page, request.POST)

    def act() -> object:
        finish, place = form.place
        return change_finish(
            batch_id=page.batch.pk,
            finish=finish,
            from_state=place,
            to_finish=form.to_finish,
            bars=form.cleaned_data["bars"],
            on=timezone.localdate(),
            part_lots=form.part_lots,
            reason=form.cleaned_data["reason"],
            by=request.user,
            typed_once=form.cleaned_data["typed_once"],
        )

    return _try(request, page, "finish", form, act)


def _finish_form(page: BarsPage, typed: Any = None) -> FinishForm:
    return FinishForm(
        typed,
        places=page.to_finish,
        lots=page.part_lots,
        parts_on=page.parts_on,
        stamps=page.stamps,
        prefix="finish",
    )


def _page(number: str) -> BarsPage:
    page = bars_page(number, today=timezone.localdate())
    if page is None:
        raise Http404
    return page


def _try(request: StaffRequest, page: BarsPage, name: str, form: Form, act: Callable[[], object]) -> HttpResponse:
    """Do it and lead back to the page, or show the refusal in the form with everything that was typed."""
    led_on = act_on(
        request,
        form,
        act,
        refusal=BatchRefusal,
        done="The bars are moved in the book.",
        to=reverse("production:cure-bars", args=[page.batch.number]),
    )
    return led_on or _show(request, page, status=422, **{name: form})


def _show(request: StaffRequest, page: BarsPage, *, status: int = 200, **typed: Form) -> HttpResponse:
    forms: dict[str, Any] = {
        "bars": BarsForm(places=page.to_take, prefix="bars"),
        "sound": PutBackForm(places=page.to_judge, prefix="sound"),
        "seconds": LetGoForm(places=page.seconds, prefix="seconds"),
        "finish": _finish_form(page),
        **typed,
    }
    context = {"page": page, "batch": page.batch, "forms": forms, "typed": set(typed)}
    return render(request, "production/cure/bars.html", context, status=status)
