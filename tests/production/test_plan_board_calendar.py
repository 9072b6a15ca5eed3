"""The work calendar: its page, its actions, and the days that rules then count with."""

from datetime import date

import pytest

from production.plan.actions.calendar import CalendarRefusal, add_time_away, change_work_week, set_special_day
from production.plan.models import SpecialDay, TimeAway, WorkWeek
from production.plan.month import month_view
from production.plan.work_days import bench_days, current_work_days
from soapshop.models import AuditEvent

URL = "/plan/calendar/"
WEEK = {
    "monday": "200", "tuesday": "200", "wednesday": "200", "thursday": "200", "friday": "120", "saturday": "60",
    "sunday": "0", "makers": "2", "pours_per_maker": "2", "rack_bars": "500", "buffer_days": "3", "hold_days": "7",
    "shipping_weekdays": ["1", "4"], "what": "week",
}  # fmt: skip


@pytest.mark.django_db
def test_a_new_shop_is_open_every_day():
    calendar = current_work_days()
    assert all(calendar.is_open(date(2026, 5, day)) for day in range(1, 32))


def test_the_week_is_kept_and_counted_with(owner_client):
    assert owner_client.post(URL, WEEK).status_code == 302
    week = WorkWeek.current()
    assert (week.minutes_by_weekday, week.pours_per_day) == ((200, 200, 200, 200, 120, 60, 0), 4)
    assert week.shipping_weekdays == [1, 4]
    assert current_work_days().why_closed(date(2026, 5, 10)) == "closed on Sundays"
    assert AuditEvent.objects.filter(verb="change_work_week").count() == 1


def test_the_same_week_again_leaves_no_trace(owner):
    change_work_week(changes={"makers": 1}, by=owner)
    assert not AuditEvent.objects.filter(verb="change_work_week").exists()


@pytest.mark.parametrize("typed", ("", "many", "-5", "1e9", "99999", "４x"))
def test_a_wrong_figure_is_refused_and_still_there(owner_client, typed):
    page = owner_client.post(URL, WEEK | {"friday": typed})
    assert page.status_code == 200
    assert "friday" in page.context["week_form"].errors
    assert page.context["week_form"]["friday"].value() == typed
    assert WorkWeek.current().friday == 240


def test_all_seven_weekdays_closed_is_refused(owner_client):
    days = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
    page = owner_client.post(URL, WEEK | dict.fromkeys(days, "0"))
    assert page.status_code == 200
    assert "closed on all seven weekdays" in page.content.decode()


def test_days_away_close_and_open_again(owner_client):
    sent = {"what": "away", "first_on": "2026-12-24", "last_on": "2027-01-01", "reason": "Winter rest"}
    owner_client.post(URL, sent)
    owner_client.post(URL, sent)
    away = TimeAway.objects.get()
    assert current_work_days().next_open(date(2026, 12, 24)) == date(2027, 1, 2)
    owner_client.post(f"{URL}away/{away.pk}/remove/")
    assert current_work_days().is_open(date(2026, 12, 24))


def test_time_away_that_ends_before_it_begins(owner_client, owner):
    sent = {"what": "away", "first_on": "2026-12-24", "last_on": "2026-12-20", "reason": ""}
    assert "Swap the two days" in owner_client.post(URL, sent).content.decode()
    with pytest.raises(CalendarRefusal, match="Swap"):
        add_time_away(first_on=date(2026, 12, 24), last_on=date(2026, 12, 20), reason="", by=owner)


def test_a_day_with_its_own_minutes(owner):
    week = change_work_week(changes={"sunday": 0}, by=owner)
    set_special_day(day=date(2026, 5, 10), minutes=90, note="market eve", by=owner)
    set_special_day(day=date(2026, 5, 11), minutes=0, note="", by=owner)
    days = bench_days(week, current_work_days(week), first=date(2026, 5, 9), days=4)
    assert [(each.day.day, each.minutes) for each in days] == [(9, 240), (10, 90), (12, 240)]


def test_a_special_day_sent_from_the_page_is_set_anew(owner_client):
    owner_client.post(URL, {"what": "special", "day": "2026-05-10", "minutes": "30", "note": ""})
    owner_client.post(URL, {"what": "special", "day": "2026-05-10", "minutes": "0", "note": "wedding"})
    special = SpecialDay.objects.get()
    assert (special.minutes, special.note) == (0, "wedding")
    assert owner_client.post(f"{URL}days/{special.pk}/remove/").status_code == 302
    assert not SpecialDay.objects.exists()


def test_only_the_owner_changes_it(maker_client):
    assert maker_client.get(URL).status_code == 200
    assert maker_client.post(URL, WEEK).status_code == 403
    assert WorkWeek.current().makers == 1


@pytest.mark.parametrize("month", ("2026-12", "nonsense", "2026-99", "99999999999-1", "", "２０２６-1"))
def test_any_month_can_be_asked_for(owner_client, month):
    assert owner_client.get(URL, {"month": month}).status_code == 200


def test_removing_what_is_not_there(owner_client):
    assert owner_client.post(f"{URL}away/77/remove/").status_code == 404


@pytest.mark.django_db
def test_a_leap_month_has_all_its_days():
    """February 2028 has 29 days of 240 minutes; the civil calendar."""
    week = WorkWeek.current()
    month = month_view(date(2028, 2, 1), week, current_work_days(week))
    assert (month.open_days, month.minutes) == (29, 29 * 240)
    assert (month.before, month.after) == (date(2028, 1, 1), date(2028, 3, 1))
