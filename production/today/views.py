from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from production.today.reads import today_page
from soapshop.requests import StaffRequest


@require_safe
def today(request: StaffRequest) -> HttpResponse:
    """Answer "What do I do now?". Everything is read fresh; nothing is written."""
    day = timezone.localdate()
    page = today_page(workshop=request.workshop, today=day)
    return render(request, "production/today/today.html", {"page": page, "today": day})
