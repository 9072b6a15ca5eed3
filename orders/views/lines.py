"""The pages of one line of an order."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from formulas.models import Design
from orders.actions import OrderRefusal, add_line, change_line, remove_line
from orders.forms.lines import OneLineForm
from orders.models import Order, OrderLine
from soapshop.acting import act_on
from soapshop.requests import StaffRequest


@require_GET
def line_choose(request: StaffRequest, number: str) -> HttpResponse:
    """Choose the design of a new line; the line's form follows."""
    shown = get_object_or_404(Order.objects.select_related("customer"), number=number)
    design = request.GET.get("design", "")
    if design.isascii() and design.isdecimal() and len(design) < 10:
        return redirect("orders:line-add", number=number, design=int(design))
    if "design" in request.GET:
        messages.error(request, "Choose a design for the new line.")
    designs = Design.objects.filter(is_shelved=False).select_related("formula")
    return render(request, "orders/line_choose.html", {"order": shown, "designs": designs})


@require_http_methods(["GET", "POST"])
def line_add(request: StaffRequest, number: str, design: int) -> HttpResponse:
    shown = get_object_or_404(Order.objects.select_related("customer"), number=number)
    chosen = get_object_or_404(Design.objects.for_page(), pk=design)
    form = OneLineForm(request.POST if request.method == "POST" else None, design=chosen)
    led_on = act_on(
        request,
        form,
        lambda: add_line(
            order_id=shown.pk, wish=form.wish, by=request.user, typed_once=form.cleaned_data["typed_once"]
        ),
        refusal=OrderRefusal,
        done=f"{chosen.name} is on the order.",
        to=shown,
    )
    return led_on or render(request, "orders/line_form.html", {"form": form, "order": shown, "design": chosen})


@require_http_methods(["GET", "POST"])
def line_edit(request: StaffRequest, number: str, pk: int) -> HttpResponse:
    line = get_object_or_404(OrderLine.objects.for_page(), pk=pk, order__number=number)
    form = OneLineForm(request.POST if request.method == "POST" else None, design=line.design, line=line)
    led_on = act_on(
        request,
        form,
        lambda: change_line(line_id=line.pk, wish=form.wish, by=request.user, seen_saves=_seen(form)),
        refusal=OrderRefusal,
        done=f"The line {line.design} is changed.",
        to=line.order,
    )
    context = {"form": form, "order": line.order, "design": line.design, "line": line}
    return led_on or render(request, "orders/line_form.html", context)


def _seen(form: OneLineForm) -> int:
    """The state of the order that the person saw; -1 when the form does not say."""
    seen: int | None = form.cleaned_data["seen_saves"]
    return -1 if seen is None else seen


@require_POST
def line_remove(request: StaffRequest, number: str, pk: int) -> HttpResponse:
    shown = get_object_or_404(Order, number=number)
    line = OrderLine.objects.select_related("design").filter(pk=pk, order=shown).first()
    try:
        if line is not None:
            remove_line(line_id=line.pk, by=request.user)
    except OrderRefusal as refusal:
        messages.error(request, str(refusal))
    else:
        name = f"{line.design} is" if line else "That line is"
        messages.success(request, f"{name} out of the order.")
    return redirect(shown)
