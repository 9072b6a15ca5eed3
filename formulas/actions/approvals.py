"""Approve a design from a pour that tried it: who, when, from which batch, and what it taught."""

from datetime import date

from django.db import transaction

from formulas.actions.designs import DesignRefusal
from formulas.models import Design
from soapshop.audit import note_event
from soapshop.models import User

APPROVED = ("approved_on", "approved_by", "approved_from", "approved_saves", "learned")


@transaction.atomic
def approve_design(*, design_id: int, batch_number: str, learned: str, on: date, by: User) -> Design:
    """Write the approval into the design as it is drawn now. Whether the pour may stand for it is judged above."""
    design = Design.objects.select_for_update().get(pk=design_id)
    if not learned.strip():
        raise DesignRefusal("Say in a sentence what the test pour taught, also when all went as drawn.")
    before = {"approved_from": design.approved_from, "learned": design.learned}
    design.approved_on, design.approved_by, design.approved_from = on, by, batch_number
    design.approved_saves, design.learned = design.saves, learned.strip()
    design.save(update_fields=APPROVED)
    note_event(
        by=by,
        verb="approve_design",
        subject=design,
        text=f"Approved the design {design.name} from {batch_number}: {design.learned}"[:400],
        before=before,
        after={"approved_from": batch_number, "learned": design.learned},
    )
    return design
