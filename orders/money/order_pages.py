"""What one order's money page and its panel on the order show."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID, uuid4

from django.utils import timezone

from orders.agreement.pour_days import change_cut_off
from orders.models import HouseTerms, Order, Paper, Payment
from orders.money.cancellation import Cancellation
from orders.money.house_fees import HouseFee
from orders.money.reads import OwedRow, accounts_of, cancellation_now, for_money
from orders.money.records import NOT_AGREED, OrderAccount, house_fees_of
from orders.order_states import CHANGEABLE, MOVES, OrderState
from orders.papers.making import may_issue
from soapshop.models import Workshop
from soapshop.panels import Panel

MONEY_RANK = 40
BUTTON_PAPERS = (Paper.Kind.QUOTE, Paper.Kind.CONFIRMATION, Paper.Kind.INVOICE, Paper.Kind.PACKING_LIST)


@dataclass(frozen=True)
class OrderMoney:
    order: Order
    account: OrderAccount
    papers: tuple[Paper, ...]
    cancellation: Cancellation | None
    cut_off: date
    is_cancelled: bool
    is_settled_cancellation: bool
    is_agreed: bool
    can_change: bool
    house_fees: tuple[HouseFee, ...]
    next_due: tuple[str, Decimal, date | None] | None
    paper_kinds: tuple[tuple[str, str], ...]
    without_receipt: tuple[Payment, ...]
    credit_once: UUID

    @property
    def suggested_payment(self) -> Decimal | None:
        return self.next_due[1] if self.next_due else None


def order_money(order: Order, *, today: date) -> OrderMoney:
    row = accounts_of(for_money(Order.objects.filter(pk=order.pk)), today=today)[0]
    workshop, terms = Workshop.current(), HouseTerms.current()
    is_cancelled = row.order.state == OrderState.CANCELLED
    may_cancel = OrderState.CANCELLED in MOVES[row.order.state] or is_cancelled
    added, charges = row.account.sum, row.account.charges
    return OrderMoney(
        order=row.order,
        account=row.account,
        papers=tuple(Paper.objects.filter(order=order).defer("frozen").select_related("replaces", "replaced_by")),
        cancellation=cancellation_now(row.order, today=today)[0] if may_cancel and added else None,
        cut_off=change_cut_off(row.order, workshop=workshop, cut_off_days=terms.cut_off_days),
        is_cancelled=is_cancelled,
        is_settled_cancellation=charges.cancelled_on is not None,
        is_agreed=row.order.state not in NOT_AGREED,
        can_change=row.order.state in CHANGEABLE,
        house_fees=house_fees_of(row.order, charges, currency=workshop.currency, today=today) if added else (),
        next_due=next_due(row),
        paper_kinds=tuple((kind.value, kind.label) for kind in BUTTON_PAPERS if may_issue(kind, row.order) is None),
        without_receipt=tuple(Payment.objects.filter(order=order, kind=Payment.Kind.PAYMENT, receipt__isnull=True)),
        credit_once=uuid4(),
    )


def next_due(row: OwedRow) -> tuple[str, Decimal, date | None] | None:
    """Return what is to be paid next: the deposit first, then the rest; None when nothing is owed."""
    now, claim = row.account.standing, row.account.claim
    if row.account.refusal or now.balance <= 0:
        return None
    if now.deposit_open:
        return "Deposit", now.deposit_open, claim.deposit_due_on
    return "Balance", now.balance, claim.balance_due_on


def money_panel(order: Order, *, workshop: Workshop) -> Panel:
    """Build the money part of the order page."""
    today = timezone.localdate()
    row = accounts_of([order], today=today, currency=workshop.currency)[0]
    context = {"order": row.order, "account": row.account, "next_due": next_due(row), "today": today}
    return Panel("orders/money/order_panel.html", context, rank=MONEY_RANK)
