"""One batch in cure: weigh, check, decide, take bars out."""

from collections.abc import Callable
from typing import Any, cast

from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from production.batches.actions.after_pour import clear_hold, hold_batch
from production.batches.asked import BatchRefusal
from production.cure.actions.checks import enter_check
from production.cure.actions.noting import keep_week
from production.cure.actions.review import reject_batch, release_batch
from production.cure.batch_reads import CurePage, cure_page, last_weights
from production.cure.forms import CHECK_FORMS, CheckForm, ReleaseForm, SentenceForm, WeighInForm
from soapshop.acting import act_on
from soapshop.models import User


@require_GET
def cure_batch(request: HttpRequest, number: str) -> HttpResponse:
    return _show(request, _page(number))


@require_POST
def cure_weigh(request: HttpRequest, number: str) -> HttpResponse:
    page = _page(number)
    form = WeighInForm(request.POST, last=last_weights(page), prefix="weigh")
    return _try(
        request,
        page,
        "weigh_form",
        form,
        lambda: keep_week(
            batch_id=page.row.batch.pk,
            weights=form.weights,
            note=form.cleaned_data["note"],
            on=form.cleaned_data["on"],
            today=timezone.localdate(),
            by=_by(request),
            reason=form.cleaned_data["reason"],
        ),
        done="It is in the book.",
    )


@require_POST
def cure_check(request: HttpRequest, number: str, method: str) -> HttpResponse:
    page = _page(number)
    if method not in CHECK_FORMS:
        raise Http404
    form = CHECK_FORMS[method][1](request.POST, prefix=method)
    return _try(
        request,
        page,
        f"{method}_form",
        form,
        lambda: enter_check(
            batch_id=page.row.batch.pk,
            reading=form.reading(),
            on=form.cleaned_data["on"],
            today=timezone.localdate(),
            by=_by(request),
        ),
        done="The test is in the book.",
    )


@require_POST
def cure_release(request: HttpRequest, number: str) -> HttpResponse:
    page = _page(number)
    form = ReleaseForm(request.POST, is_early=page.is_early, prefix="release")
    return _try(
        request,
        page,
        "release_form",
        form,
        lambda: release_batch(
            batch_id=page.row.batch.pk,
            words=form.cleaned_data["words"],
            today=timezone.localdate(),
            by=_by(request),
            best_before=form.cleaned_data["best_before"],
            early_reason=form.cleaned_data.get("early_reason", ""),
        ),
        done=f"{page.row.batch} is released. Its bars can go to orders.",
    )


@require_POST
def cure_hold(request: HttpRequest, number: str) -> HttpResponse:
    today = timezone.localdate()
    return _decide(
        request, number, "hold", lambda pk, words: hold_batch(batch_id=pk, reason=words, by=_by(request), on=today)
    )


@require_POST
def cure_clear(request: HttpRequest, number: str) -> HttpResponse:
    today = timezone.localdate()
    return _decide(
        request, number, "clear", lambda pk, words: clear_hold(batch_id=pk, words=words, by=_by(request), on=today)
    )


@require_POST
def cure_reject(request: HttpRequest, number: str) -> HttpResponse:
    return _decide(request, number, "reject", lambda pk, words: reject_batch(batch_id=pk, words=words, by=_by(request)))


def _page(number: str) -> CurePage:
    page = cure_page(number, today=timezone.localdate())
    if page is None:
        raise Http404
    return page


def _by(request: HttpRequest) -> User:
    return cast(User, request.user)


def _decide(request: HttpRequest, number: str, name: str, act: Callable[[int, str], object]) -> HttpResponse:
    page = _page(number)
    form = SentenceForm(request.POST, prefix=name)
    return _try(request, page, f"{name}_form", form, lambda: act(page.row.batch.pk, form.cleaned_data["words"]))


def _try(
    request: HttpRequest, page: CurePage, name: str, form: Form, act: Callable[[], object], done: str = ""
) -> HttpResponse:
    """Do it and lead back to the page, or show the refusal in the form with everything that was typed."""
    to = reverse("production:cure-batch", args=[page.row.batch.number])
    led_on = act_on(request, form, act, refusal=BatchRefusal, done=done, to=to)
    return led_on or _show(request, page, status=422, **{name: form})


def _show(request: HttpRequest, page: CurePage, *, status: int = 200, **typed: Form) -> HttpResponse:
    today = timezone.localdate()
    forms: dict[str, Any] = {
        "weigh_form": WeighInForm(last=last_weights(page), initial={"on": today}, prefix="weigh"),
        "release_form": ReleaseForm(
            is_early=page.is_early, initial={"best_before": page.keeping.best_before}, prefix="release"
        ),
        **{f"{name}_form": SentenceForm(prefix=name) for name in ("hold", "clear", "reject")},
        **typed,
    }
    context = {"page": page, "today": today, "check_forms": _check_forms(typed), "typed": set(typed), **forms}
    return render(request, "production/cure/batch.html", context, status=status)


def _check_forms(typed: dict[str, Form]) -> list[tuple[str, str, CheckForm, bool]]:
    """Return the forms of the tests: name, title, form, and whether it was just typed into."""
    today = timezone.localdate()
    return [
        (
            method,
            title,
            cast(CheckForm, typed.get(f"{method}_form") or kind(initial={"on": today}, prefix=method)),
            f"{method}_form" in typed,
        )
        for method, (title, kind) in CHECK_FORMS.items()
    ]
