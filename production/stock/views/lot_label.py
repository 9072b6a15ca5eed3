"""The label of a tub, and where its code leads."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from formulas.models import Material
from production.documents.lot_label import LotLabelPaper, lot_label_pdf
from production.lot_states import LotState
from production.stock.lot_reads import waiting_for
from production.stock.models import Lot
from soapshop.paper import PaperRefused, PaperUnavailable
from soapshop.paper_press import print_beside
from soapshop.requests import StaffRequest

# Common practice for any tub of it; the supplier's own sheet comes first.
LYE_CAUTION = "Lye: burns skin and eyes, eats aluminum. Goggles and gloves. Keep shut, dry, away from children."


@require_GET
def lot_label(request: StaffRequest, code: str) -> HttpResponse:
    found = get_object_or_404(Lot.objects.select_related("material", "supplier"), code=code)
    paper = LotLabelPaper(
        code=found.code,
        material=found.material.name,
        supplier=found.supplier.name if found.supplier else "",
        supplier_lot=found.supplier_lot,
        received_date=found.received_on,
        use_by=found.expires_on,
        scan_text=request.build_absolute_uri(reverse("production:lot-scan", args=[found.code])),
        caution=LYE_CAUTION if found.material.kind == Material.Kind.ALKALI else "",
        state="" if found.state in (LotState.RELEASED, LotState.USED_UP) else found.state.label,
    )
    try:
        pdf = print_beside(lot_label_pdf, paper)
    except (PaperUnavailable, PaperRefused) as refusal:
        messages.error(request, str(refusal))
        return redirect(found)
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="lot-{found.code}.pdf"'
    return response


@require_GET
def lot_scan(request: StaffRequest, code: str) -> HttpResponse:
    """Lead from a scanned tub to the one batch that waits for it, its lot filled in; else to the lot itself."""
    found = get_object_or_404(Lot.objects.select_related("material"), code=code)
    batches = waiting_for(found)
    if len(batches) == 1:
        return redirect(f"{batches[0].get_absolute_url()}?lot={found.code}#next")
    if found.is_out_of_date(timezone.localdate()):
        messages.warning(request, f"{found.code} is out of date: nothing is weighed out from it.")
    elif batches:
        numbers = ", ".join(batch.number for batch in batches)
        messages.info(request, f"{numbers} wait for {found.material.name}. Open the one you weigh, and scan there.")
    return redirect(found)
