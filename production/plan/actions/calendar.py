"""Change the work calendar."""

from datetime import date
from typing import Any

from django.db import transaction

from production.plan.models import SpecialDay, TimeAway, WorkWeek
from soapshop.audit import note_event
from soapshop.models import User


class CalendarRefusal(Exception):
    """The calendar cannot be changed as asked; the message says why and the mend."""


@transaction.atomic
def change_work_week(*, changes: dict[str, Any], by: User) -> WorkWeek:
    """Write the fields that differ. What is planned already stays where it is; the next proposal follows the change."""
    WorkWeek.current()
    week = WorkWeek.objects.select_for_update().get(pk=1)
    before = {name: getattr(week, name) for name in changes}
    changed = [name for name, new in changes.items() if before[name] != new]
    if not changed:
        return week
    for name in changed:
        setattr(week, name, changes[name])
    week.save(update_fields=changed)
    note_event(
        by=by,
        verb="change_work_week",
        subject=week,
        text=f"Changed the work calendar: {', '.join(changed).replace('_', ' ')}.",
        before={name: before[name] for name in changed},
        after={name: changes[name] for name in changed},
    )
    return week


@transaction.atomic
def add_time_away(*, first_on: date, last_on: date, reason: str, by: User) -> TimeAway:
    """Close the workshop for a span; the same span sent twice is kept once."""
    if last_on < first_on:
        raise CalendarRefusal("The time away ends before it begins. Swap the two days.")
    away, is_new = TimeAway.objects.get_or_create(first_on=first_on, last_on=last_on, defaults={"reason": reason})
    if is_new:
        note_event(by=by, verb="add_time_away", subject=away, text=f"Closed from {first_on} to {last_on}: {away}.")
    return away


@transaction.atomic
def remove_time_away(*, away_id: int, by: User) -> None:
    away = TimeAway.objects.select_for_update().get(pk=away_id)
    text = f"Open again from {away.first_on} to {away.last_on}."
    note_event(by=by, verb="remove_time_away", subject=away, text=text)
    away.delete()


@transaction.atomic
def set_special_day(*, day: date, minutes: int, note: str, by: User) -> SpecialDay:
    """Give one day its own minutes; a day set before is set anew."""
    special, _ = SpecialDay.objects.update_or_create(day=day, defaults={"minutes": minutes, "note": note})
    text = f"{minutes} minutes at the bench on {day}." if minutes else f"Closed on {day}."
    note_event(by=by, verb="set_special_day", subject=special, text=text)
    return special


@transaction.atomic
def remove_special_day(*, special_id: int, by: User) -> None:
    special = SpecialDay.objects.select_for_update().get(pk=special_id)
    note_event(by=by, verb="remove_special_day", subject=special, text=f"{special.day} is like its weekday again.")
    special.delete()
