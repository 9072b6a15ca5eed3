"""Keep the molds: their inside sizes, the good bars they give, and how many the workshop owns."""

from typing import Any

from django.db import transaction

from formulas.actions.checks import is_name_taken
from formulas.design_records import mold_of
from formulas.geometry import MoldError
from formulas.models import Mold
from soapshop.audit import changed_fields, note_event
from soapshop.models import User


class MoldRefusal(Exception):
    """A mold cannot be kept this way; the message says why and the mend."""


@transaction.atomic
def create_mold(*, kind: str, figures: dict[str, Any], by: User, box: Mold | None = None) -> Mold:
    """Add a mold; with ``box`` it is another way to fill that one, and there are as many of it."""
    mold = Mold(kind=kind, box=box, **figures)
    if box is not None:
        mold.box = box.box or box
        mold.owned = mold.box.owned
    _judge(mold)
    mold.save(force_insert=True)
    text = f"Added the mold {mold.name}." if box is None else f"Added {mold.name}, another way to fill {mold.box_name}."
    note_event(by=by, verb="create_mold", subject=mold, text=text, after=figures)
    return mold


@transaction.atomic
def save_mold(*, mold_id: int, figures: dict[str, Any], by: User) -> Mold:
    mold = Mold.objects.select_for_update().get(pk=mold_id)
    before, after = changed_fields(mold, figures)
    if not after:
        return mold
    for field, wanted in after.items():
        setattr(mold, field, wanted)
    _judge(mold)
    mold.save(update_fields=list(after))
    if "owned" in after:
        mold.other_ways.update(owned=mold.owned)
    note_event(by=by, verb="save_mold", subject=mold, text=f"Changed the mold {mold.name}.", before=before, after=after)
    return mold


def _judge(mold: Mold) -> None:
    if is_name_taken(mold, mold.name):
        raise MoldRefusal(f"There is a mold named “{mold.name}” already. Give this one a name of its own.")
    try:
        gross = mold_of(mold).gross_bars
    except MoldError as refusal:
        raise MoldRefusal(str(refusal)) from refusal
    if mold.usable_bars > gross:
        raise MoldRefusal(
            f"One filling gives {gross} bars, so {mold.usable_bars} good ones cannot come out of it. Correct the count."
        )
