"""Give out papers and print them again."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from orders.models import Order, Paper
from orders.money.payments import PaymentRefused
from orders.papers.actions import PaperIssueRefused, issue_paper
from orders.papers.documents import customer_paper_pdf
from orders.papers.forms import PaperForm
from orders.papers.records import CustomerPaper
from soapshop.frozen_json import from_json
from soapshop.paper import PaperError
from soapshop.paper_press import print_beside
from soapshop.requests import StaffRequest


@require_POST
def paper_issue(request: StaffRequest, number: str) -> HttpResponse:
    order = get_object_or_404(Order, number=number)
    form = PaperForm(request.POST)
    if not form.is_valid():
        messages.error(request, " ".join(str(error) for errors in form.errors.values() for error in errors))
        return redirect("orders:order-money", number=number)
    try:
        paper = issue_paper(order_id=order.pk, on=timezone.localdate(), by=request.user, **form.cleaned_data)
    except (PaperIssueRefused, PaymentRefused) as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, f"{paper} is made and kept. Print it below.")
    return redirect("orders:order-money", number=number)


@require_GET
def paper(request: StaffRequest, number: str) -> HttpResponse:
    """Print a paper from its frozen copy: the same bytes each time."""
    kept = get_object_or_404(Paper.objects.select_related("order"), number=number)
    try:
        pdf = print_beside(customer_paper_pdf, from_json(CustomerPaper, kept.frozen))
    except PaperError as refusal:
        messages.error(request, str(refusal))
        return redirect("orders:order-money", number=kept.order.number)
    headers = {"Content-Disposition": f'inline; filename="{kept.number}.pdf"'}
    return HttpResponse(pdf, content_type="application/pdf", headers=headers)
