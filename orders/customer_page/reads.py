"""What the customer's page shows, and not a figure more."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from orders.agreement.records import kept_sheet
from orders.agreement.sheet import OrderSheet
from orders.agreement.shown import ShownLine, shown_lines
from orders.models import Order, Proof
from orders.money.order_pages import next_due
from orders.money.reads import accounts_of, for_money
from orders.order_states import OrderState

STAGES = {
    OrderState.ENQUIRY: "We have your wishes and are working out this sheet.",
    OrderState.QUOTED: "Please look it over. We start when you have approved it and the deposit is in.",
    OrderState.ACCEPTED: "Agreed. Your bars have their place in our plan.",
    OrderState.IN_PRODUCTION: "Your bars are being made or are curing.",
    OrderState.READY: "Your bars have cured and passed our checks.",
    OrderState.PACKED: "Your bars are packed.",
    OrderState.HANDED_OVER: "Your bars are with you. Thank you.",
    OrderState.CLOSED: "This order is complete. Thank you.",
    OrderState.CANCELLED: "This order was cancelled.",
}
ENDED = (OrderState.HANDED_OVER, OrderState.CLOSED, OrderState.CANCELLED)


@dataclass(frozen=True)
class CustomerPage:
    proof: Proof
    sheet: OrderSheet
    lines: tuple[ShownLine, ...]
    stage: str
    paid: Decimal
    balance: Decimal
    due: tuple[str, Decimal, date | None] | None
    may_approve: bool


def customer_page(order: Order, *, today: date) -> CustomerPage:
    row = accounts_of(for_money(Order.objects.filter(pk=order.pk)), today=today)[0]
    proof = order.proofs.first()
    assert proof is not None  # a page is opened only where there is a version to show
    sheet = kept_sheet(proof.frozen)
    is_over = row.account.charges.is_quote_over(today)
    return CustomerPage(
        proof=proof,
        sheet=sheet,
        lines=shown_lines(sheet),
        stage=STAGES[row.order.state],
        paid=row.account.standing.held,
        balance=row.account.standing.balance,
        due=next_due(row) if row.order.state != OrderState.CANCELLED else None,
        may_approve=not proof.is_approved and not is_over and row.order.state not in ENDED,
    )
