"""Show a version of the sheet, and note who approved it."""

from datetime import date

from django.db import transaction
from django.utils import timezone

from orders.actions import OrderRefusal, move_by_hand, move_order, note_order
from orders.agreement.records import frozen_sheet, kept_sheet, sheet_of
from orders.agreement.sheet import OrderSheet, changes
from orders.models import Order, Proof
from orders.money.actions import agree_charges, quote_charges
from orders.money.reads import account_now
from orders.order_states import OrderState
from soapshop.models import User, Workshop


@transaction.atomic
def make_proof(*, order_id: int, by: User, today: date) -> Proof:
    """Freeze the order's sheet as its next version. The same sheet is not made twice."""
    Order.objects.select_for_update().get(pk=order_id)
    order = Order.objects.for_page().get(pk=order_id)
    if order.state in (OrderState.HANDED_OVER, OrderState.CLOSED, OrderState.CANCELLED):
        raise OrderRefusal(f"{order} is {order.state.label.lower()}; there is nothing left to agree on.")
    quote_charges(order_id=order_id, on=today)
    sheet = present_sheet(order, today=today)
    last = order.proofs.first()
    if last is not None and not changes(kept_sheet(last.frozen), sheet):
        raise OrderRefusal(f"Nothing has changed since version {last.version}. Show that one.")
    version = last.version + 1 if last else 1
    proof = Proof.objects.create(order=order, version=version, frozen=frozen_sheet(sheet), made_by=by)
    note_order(order=order, by=by, verb="make_proof", text=f"Version {version} of the sheet is ready to show.")
    return proof


@transaction.atomic
def approve_proof(*, proof_id: int, name: str, way: str, today: date, by: User | None) -> Proof:
    """Note that the customer approved a version; an order not yet accepted is accepted by it."""
    proof = Proof.objects.select_related("order").get(pk=proof_id)
    Order.objects.select_for_update().get(pk=proof.order_id)
    proof.refresh_from_db()
    order = Order.objects.for_page().get(pk=proof.order_id)
    if proof.is_approved:
        return proof
    _judge(proof, order, name=name, today=today)
    proof.approved_at, proof.approved_by_name, proof.approved_way = timezone.now(), name.strip(), way
    proof.save(update_fields=["approved_at", "approved_by_name", "approved_way"])
    told = proof.get_approved_way_display()
    text = f"Version {proof.version} approved by {name.strip()} ({told[0].lower()}{told[1:]})."
    note_order(order=order, by=by, verb="approve_proof", text=text, after={"version": proof.version})
    for stage in (OrderState.QUOTED, OrderState.ACCEPTED):
        if order.state in (OrderState.ENQUIRY, OrderState.QUOTED) and order.state != stage:
            order = move_order(order_id=order.pk, to=stage, by=by)
            if stage == OrderState.ACCEPTED:
                agree_charges(order_id=order.pk, on=today, by=by)
    return proof


@transaction.atomic
def quote_order(*, order_id: int, by: User, today: date) -> Order:
    """Note that a quote went out; its days and a rush are counted from today."""
    order = move_by_hand(order_id=order_id, to=OrderState.QUOTED, by=by)
    quote_charges(order_id=order_id, on=today)
    return order


@transaction.atomic
def accept_order(*, order_id: int, by: User, today: date) -> Order:
    """Note that the customer accepted, and fix the days on which deposit and balance are due."""
    order = move_by_hand(order_id=order_id, to=OrderState.ACCEPTED, by=by)
    agree_charges(order_id=order_id, on=today, by=by)
    return order


def _judge(proof: Proof, order: Order, *, name: str, today: date) -> None:
    if not name.strip():
        raise OrderRefusal("Write your name, so that the shop knows who approved it.")
    if order.proofs.first() != proof:
        raise OrderRefusal("There is a newer version of this sheet. Look at that one.")
    if order.state in (OrderState.HANDED_OVER, OrderState.CLOSED, OrderState.CANCELLED):
        raise OrderRefusal(f"This order is {order.state.label.lower()}. There is nothing left to approve.")
    account = account_now(order, today=today)
    until = account.charges.valid_until
    if until is not None and account.charges.is_quote_over(today):
        raise OrderRefusal(f"This quote was good until {until:%b} {until.day}, {until.year}. Ask for a new one.")
    if changes(kept_sheet(proof.frozen), present_sheet(order, today=today)):
        raise OrderRefusal("The shop is changing this sheet just now. Ask for the new version.")


def present_sheet(order: Order, *, today: date) -> OrderSheet:
    """Return the sheet as it stands; refuses an order that has no price."""
    account = account_now(order, today=today)
    if account.sum is None:
        raise OrderRefusal(account.refusal)
    return sheet_of(order, account.charges, account.sum, account.claim, currency=Workshop.current().currency)
