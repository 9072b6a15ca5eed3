"""Hold a day that was told to a customer, and let it go."""

from datetime import date, timedelta

from django.db import transaction

from formulas.models import Design
from production.plan.actions.moving import PlanRefusal
from production.plan.models import HeldDate, WorkWeek
from production.plan.promises import offers_for
from soapshop.audit import note_event
from soapshop.models import User


@transaction.atomic
def hold_date(*, design: Design, bars: int, ready_on: date, today: date, by: User) -> HeldDate:
    """Keep room for so many bars until the workshop's holding days are over; the day is reckoned again first.

    The same bars on the same day are held once.
    """
    Design.objects.select_for_update().get(pk=design.pk)
    expires_on = today + timedelta(days=WorkWeek.current().hold_days)
    known = HeldDate.objects.filter(design=design, bars=bars, ready_on=ready_on, expires_on=expires_on).first()
    if known is not None:
        return known
    fitting = [offer for offer in offers_for(design, bars, today=today).offers if offer.promise.ready_on <= ready_on]
    if not fitting:
        raise PlanRefusal("That day is not free any more. Ask for the day again.")
    promise = fitting[0].promise
    held = HeldDate.objects.create(
        design=design,
        bars=bars,
        ready_on=ready_on,
        source=promise.source,
        pour_on=promise.pours[0] if promise.pours else None,
        expires_on=expires_on,
        by=by,
    )
    text = f"Holds {bars} bars of {design}, ready {ready_on:%b} {ready_on.day}, until {expires_on:%b} {expires_on.day}."
    note_event(by=by, verb="hold_date", subject=held, text=text)
    return held


@transaction.atomic
def release_date(*, held_id: int, by: User) -> None:
    """Let a held day go; its room is free again."""
    held = HeldDate.objects.select_for_update().get(pk=held_id)
    note_event(by=by, verb="release_date", subject=held, text=f"No longer holds: {held}.")
    held.delete()
