"""In and out: orders from a file, the order book to a file, the calendar feed."""

import hashlib

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from formulas.models import Design
from orders.actions import OrderRefusal
from orders.interchange.actions import (
    by_order,
    calendar_key,
    is_calendar_key,
    past_days,
    renew_calendar,
    take_file,
)
from orders.interchange.days import feed_days
from orders.interchange.forms import FileForm
from orders.interchange.icalendar import calendar_file
from orders.interchange.order_file import OrderFileRefused, ReadFile, csv_text, read_orders
from orders.interchange.reads import book_rows
from orders.models import CalendarAddress
from soapshop.requests import StaffRequest

EXCEL_MARK = "\ufeff"  # tells a spreadsheet that the file is UTF-8


@require_http_methods(["GET", "POST"])
def in_and_out(request: StaffRequest) -> HttpResponse:
    """Show what a chosen file holds; nothing is written before the preview is confirmed."""
    form = FileForm(request.POST, request.FILES) if request.method == "POST" else FileForm()
    context = {"form": form, "feed": _feed_address(request)}
    if request.method == "POST" and form.is_valid():
        text = form.cleaned_data["text"]
        try:
            read = read_orders(text, designs=Design.objects.filter(is_shelved=False).values_list("name", flat=True))
            read = ReadFile(read.rows, (*read.faults, *past_days(read.rows, today=timezone.localdate())))
            if request.POST.get("confirmed") and not read.faults:
                orders = take_file(rows=read.rows, digest=hashlib.sha256(text.encode()).hexdigest(), by=request.user)
                messages.success(request, f"{len(orders)} orders are in the book as enquiries.")
                return redirect("orders:order-list")
        except (OrderFileRefused, OrderRefusal) as refusal:
            form.add_error("chosen", str(refusal))
        else:
            faults = sorted(read.faults, key=lambda fault: (fault.line, fault.column))
            context |= {"read": read, "faults": faults, "groups": list(by_order(read.rows).values()), "text": text}
    return render(request, "orders/interchange/in_and_out.html", context)


@require_GET
def order_book(request: StaffRequest) -> HttpResponse:
    """Return the whole order book, one line for each order line."""
    content = EXCEL_MARK + csv_text(book_rows())
    name = f"orders-{timezone.localdate().isoformat()}.csv"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return HttpResponse(content, content_type="text/csv; charset=utf-8", headers=headers)


@require_POST
def calendar_renew(request: StaffRequest) -> HttpResponse:
    renew_calendar(by=request.user)
    messages.success(request, "The calendar has a new address. Give it to your phone; the old one no longer works.")
    return redirect("orders:in-and-out")


@login_not_required
@require_GET
def calendar_feed(request: HttpRequest, key: str) -> HttpResponse:
    """Return the feed to whoever knows the private address."""
    if not is_calendar_key(key):
        raise Http404
    now = timezone.now()
    content = calendar_file(
        feed_days(timezone.localdate()), name="Workshop", host=request.get_host().split(":")[0], stamp=now
    )
    headers = {"Cache-Control": "no-store, private", "X-Robots-Tag": "noindex", "Referrer-Policy": "no-referrer"}
    return HttpResponse(content, content_type="text/calendar; charset=utf-8", headers=headers)


def _feed_address(request: StaffRequest) -> str:
    address = CalendarAddress.objects.filter(closed_at__isnull=True).first()
    if address is None:
        return ""
    return request.build_absolute_uri(reverse("orders:calendar-feed", args=[calendar_key(address)]))
