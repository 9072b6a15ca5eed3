"""The customer's own page: what was agreed, how far it is, what is due. Nothing else of the shop is shown."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from orders.actions import OrderRefusal
from orders.agreement.actions import approve_proof
from orders.customer_page.actions import found_link
from orders.customer_page.forms import ApproveForm
from orders.customer_page.reads import customer_page
from orders.models import Proof

# Not kept by caches, not listed by search engines, and the address is told to no other site. To its own site it must
# be told: without it a browser sends the approval as coming from nowhere, and it is refused as forged.
PRIVATE = {
    "Cache-Control": "no-store, private",
    "X-Robots-Tag": "noindex, nofollow, noarchive",
    "Referrer-Policy": "same-origin",
}


@login_not_required
@require_http_methods(["GET", "POST"])
def order_for_customer(request: HttpRequest, key: str) -> HttpResponse:
    today = timezone.localdate()
    link = found_link(key, today=today)
    if link is None:
        return _private(render(request, "orders/customer_page/closed.html", status=404))
    form = ApproveForm(request.POST or None)
    if request.POST and form.is_valid():
        proof = Proof.objects.filter(order=link.order, version=form.cleaned_data["version"]).first()
        try:
            if proof is None:
                raise OrderRefusal("There is no such version of this sheet. Look at the one on this page.")
            approve_proof(proof_id=proof.pk, name=form.cleaned_data["name"], way="own_page", today=today, by=None)
        except OrderRefusal as refusal:
            form.add_error("name", str(refusal))
        else:
            return _private(redirect("orders:customer-page", key=key))
    page = customer_page(link.order, today=today)
    context = {"page": page, "sheet": page.sheet, "form": form, "today": today}
    return _private(render(request, "orders/customer_page/page.html", context))


def _private(answer: HttpResponse) -> HttpResponse:
    for name, words in PRIVATE.items():
        answer[name] = words
    return answer
