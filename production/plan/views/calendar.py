"""The work calendar: one page for minutes, days off, what fits at once, and the month."""

from collections.abc import Callable
from datetime import date
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from formulas.models import Mold
from production.plan.actions.calendar import (
    CalendarRefusal,
    add_time_away,
    change_work_week,
    remove_special_day,
    remove_time_away,
    set_special_day,
)
from production.plan.forms import SpecialDayForm, TimeAwayForm, WorkWeekForm
from production.plan.models import SpecialDay, TimeAway, WorkWeek
from production.plan.month import month_view
from production.plan.work_days import current_work_days
from soapshop.models import User
from soapshop.requests import StaffRequest

FIRST_YEAR, LAST_YEAR = 2000, 2100


def _month(text: str, today: date) -> date:
    """Read 2026-12; anything else is the month of today."""
    year, _, month = text.partition("-")
    if year.isdecimal() and month.isdecimal() and 1 <= int(month) <= 12 and FIRST_YEAR <= int(year) <= LAST_YEAR:
        return date(int(year), int(month), 1)
    return today.replace(day=1)


@require_http_methods(["GET", "POST"])
def work_calendar(request: StaffRequest) -> HttpResponse:
    """Show the calendar; a POST names by its button which of the three forms it is."""
    week = WorkWeek.current()
    sent = request.POST.get("what", "") if request.method == "POST" else ""
    data = request.POST if sent else None
    forms: dict[str, WorkWeekForm | TimeAwayForm | SpecialDayForm] = {
        "week": WorkWeekForm(data if sent == "week" else None, instance=week),
        "away": TimeAwayForm(data if sent == "away" else None),
        "special": SpecialDayForm(data if sent == "special" else None),
    }
    if sent in forms and _saved(request, sent, forms[sent]):
        return redirect("production:work-calendar")
    week = WorkWeek.current()
    today = timezone.localdate()
    calendar = current_work_days(week)
    context = {
        "week_form": forms["week"],
        "away_form": forms["away"],
        "special_form": forms["special"],
        "week": week,
        "month": month_view(_month(request.GET.get("month", ""), today), week, calendar),
        "today": today,
        "away": TimeAway.objects.filter(last_on__gte=today),
        "special": SpecialDay.objects.filter(day__gte=today),
        "molds": Mold.objects.filter(is_shelved=False),
    }
    return render(request, "production/plan_board/calendar.html", context)


def _saved(request: StaffRequest, what: str, form: WorkWeekForm | TimeAwayForm | SpecialDayForm) -> bool:
    """Carry out the form; a refusal becomes its error."""
    _only_owner(request)
    if not form.is_valid():
        return False
    changes: dict[str, Callable[..., object]] = {
        "week": _change_week,
        "away": add_time_away,
        "special": set_special_day,
    }
    try:
        changes[what](**form.cleaned_data, by=request.user)
    except CalendarRefusal as refusal:
        form.add_error(None, str(refusal))
        return False
    messages.success(request, "The work calendar is kept. The count back follows it from now on.")
    return True


def _change_week(*, by: User, **changes: Any) -> WorkWeek:
    return change_work_week(changes=changes, by=by)


def _only_owner(request: StaffRequest) -> None:
    if not request.user.is_owner:
        raise PermissionDenied("Only the owner changes the work calendar. Ask the owner.")


@require_POST
def time_away_remove(request: StaffRequest, pk: int) -> HttpResponse:
    _only_owner(request)
    remove_time_away(away_id=get_object_or_404(TimeAway, pk=pk).pk, by=request.user)
    messages.success(request, "These days are open again.")
    return redirect("production:work-calendar")


@require_POST
def special_day_remove(request: StaffRequest, pk: int) -> HttpResponse:
    _only_owner(request)
    remove_special_day(special_id=get_object_or_404(SpecialDay, pk=pk).pk, by=request.user)
    messages.success(request, "This day is like its weekday again.")
    return redirect("production:work-calendar")
