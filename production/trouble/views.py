"""When an order will be late or short."""

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from production.trouble.reads import trouble_page
from soapshop.requests import StaffRequest


@require_GET
def order_trouble(request: StaffRequest, number: str) -> HttpResponse:
    page = trouble_page(number, today=timezone.localdate())
    if page is None:
        raise Http404
    return render(request, "production/trouble/trouble.html", {"page": page, "order": page.order})
