"""Write to a customer: a draft, a look at it, and only then the send button."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from orders.customer_page.actions import link_key
from orders.letters.actions import LetterRefused, send_letter
from orders.letters.drafts import LABELS, About, LetterFacts, draft
from orders.letters.forms import LetterForm
from orders.models import Order
from orders.money.order_pages import next_due
from orders.money.reads import accounts_of, for_money
from soapshop.money import format_money
from soapshop.requests import StaffRequest


@require_http_methods(["GET", "POST"])
def letter(request: StaffRequest, number: str) -> HttpResponse:
    """Nothing is sent from the draft: the first press shows the letter as it will go, the second sends it."""
    order = get_object_or_404(Order.objects.select_related("customer"), number=number)
    asked = request.GET.get("about", "")
    about = About(asked) if asked in set(About) else About.DUE
    if request.method == "GET":
        written = draft(about, _facts(request, order))
        first = {
            "to": order.customer.email,
            "subject": written.subject,
            "body": written.body,
            "paper": order.papers.first() if about == About.PAPER else None,
        }
        return _page(request, order, about, LetterForm(initial=first, order=order))
    form = LetterForm(request.POST, order=order)
    if not form.is_valid() or request.POST.get("step") == "change":
        return _page(request, order, about, form)
    if request.POST.get("step") != "send":
        return _page(request, order, about, form, seen=True)
    try:
        send_letter(order_id=order.pk, by=request.user, **form.cleaned_data)
    except LetterRefused as refusal:
        form.add_error(None, str(refusal))
        return _page(request, order, about, form)
    messages.success(request, f"The letter to {form.cleaned_data['to']} is on its way.")
    return redirect(order)


def _page(request: StaffRequest, order: Order, about: About, form: LetterForm, *, seen: bool = False) -> HttpResponse:
    context = {
        "order": order,
        "form": form,
        "about": about,
        "abouts": [(each.value, LABELS[each], each == about) for each in About],
        "seen": form.cleaned_data if seen else None,
        "has_mail": bool(order.customer.email),
    }
    return render(request, "orders/letters/letter.html", context)


def _facts(request: StaffRequest, order: Order) -> LetterFacts:
    today = timezone.localdate()
    row = accounts_of(for_money(Order.objects.filter(pk=order.pk)), today=today)[0]
    due, link, paper = next_due(row), order.customer_links.first(), order.papers.first()
    words = ""
    if due is not None:
        by = f", due {due[2]:%b} {due[2].day}" if due[2] else ""
        words = f"the {due[0].lower()} of {format_money(due[1], currency=request.workshop.currency)}{by}"
    address = ""
    if link is not None and link.is_open(today):
        address = request.build_absolute_uri(reverse("orders:customer-page", args=[link_key(link)]))
    missing = request.GET.get("missing", "")
    return LetterFacts(
        customer=order.customer.name,
        shop=request.workshop.maker_name or request.workshop.name,
        number=order.number,
        needed_by=order.needed_by,
        due_words=words,
        page_address=address,
        paper=str(paper) if paper else "",
        choices=tuple(choice[:300] for choice in request.GET.getlist("choice")[:8]),
        missing_bars=int(missing) if missing.isascii() and missing.isdigit() and len(missing) < 6 else 0,
    )
