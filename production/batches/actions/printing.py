"""Print a batch's ticket; every printed copy is counted and numbered."""

from datetime import datetime

from django.db import transaction

from production.batches.models import Batch
from production.batches.ticket import ticket_paper
from production.documents.batch_ticket import batch_ticket_pdf
from soapshop.audit import note_event
from soapshop.models import User, Workshop
from soapshop.paper_press import print_beside


def ticket_pdf(
    batch: Batch, *, printed_at: datetime, printed_by: str, scan_text: str, copy_number: int | None = None
) -> bytes:
    """Return the ticket as PDF, by itself the next copy. ``printed_at`` is in the workshop's own time."""
    paper = ticket_paper(
        batch,
        workshop=Workshop.current(),
        printed_at=printed_at,
        printed_by=printed_by,
        scan_text=scan_text,
        copy_number=copy_number or batch.tickets_printed + 1,
    )
    return print_beside(batch_ticket_pdf, paper)


@transaction.atomic
def count_ticket(*, batch_id: int, by: User) -> int:
    """Count one printed copy and return its number."""
    batch = Batch.objects.select_for_update().get(pk=batch_id)
    batch.tickets_printed += 1
    batch.save(update_fields=["tickets_printed"])
    text = f"Printed the ticket of {batch}, copy {batch.tickets_printed}."
    note_event(by=by, verb="print_ticket", subject=batch, text=text)
    return batch.tickets_printed
