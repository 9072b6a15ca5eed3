"""The papers of a batch."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from production.batches.actions.printing import count_ticket, ticket_pdf
from production.batches.models import Batch
from soapshop.paper import PaperRefused, PaperUnavailable
from soapshop.requests import StaffRequest


@require_http_methods(["GET", "POST"])
def batch_ticket(request: StaffRequest, number: str) -> HttpResponse:
    """GET shows the ticket as the next copy would be; POST prints it, which counts and numbers the copy."""
    found = get_object_or_404(Batch.objects.for_page(), number=number)
    try:
        pdf = ticket_pdf(
            found,
            printed_at=timezone.localtime(),
            printed_by=request.user.display_name,
            scan_text=request.build_absolute_uri(found.get_absolute_url()),
        )
    except (PaperUnavailable, PaperRefused) as refusal:
        messages.error(request, str(refusal))
        return redirect(found)
    if request.method == "POST":
        count_ticket(batch_id=found.pk, by=request.user)
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="ticket-{found.number}.pdf"'
    return response
