"""What the money pages show."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import Prefetch, QuerySet, Sum
from django.utils import timezone
from django.utils.functional import SimpleLazyObject

from orders.agreement.pour_days import change_cut_off
from orders.models import HouseTerms, Order, OrderLine, Paper, Payment, TaxRate
from orders.money.cancellation import CancelFacts, Cancellation, CancelTerms, cancellation
from orders.money.records import OrderAccount, account_of, usual_rate
from orders.money.tax import ZERO
from orders.order_states import PROMISED, OrderState
from soapshop.models import AuditEvent, Workshop

CREDIT_NOTES = Prefetch(
    "papers",
    Paper.objects.filter(kind=Paper.Kind.CREDIT_NOTE).only("order", "kind", "number", "amount", "issued_on"),
)
OWING = (*PROMISED, OrderState.HANDED_OVER)
PAGE_SIZE = 50


@dataclass(frozen=True)
class OwedRow:
    order: Order
    account: OrderAccount


@dataclass(frozen=True)
class MoneyPage:
    first: date
    last: date
    came_in: Decimal
    paid_back: Decimal
    payments: tuple[Payment, ...]
    owed: tuple[OwedRow, ...]
    unpriced: tuple[Order, ...]

    @property
    def balance_due(self) -> Decimal:
        return sum((row.account.standing.balance for row in self.owed), ZERO)

    @property
    def overdue(self) -> tuple[OwedRow, ...]:
        late = [row for row in self.owed if row.account.standing.is_overdue]
        return tuple(sorted(late, key=lambda row: row.account.standing.due_since or date.max))

    @property
    def overdue_sum(self) -> Decimal:
        return sum((row.account.standing.due_now for row in self.overdue), ZERO)

    @property
    def kept(self) -> Decimal:
        return self.came_in - self.paid_back

    @property
    def before(self) -> date:
        return (self.first - timedelta(days=1)).replace(day=1)

    @property
    def after(self) -> date:
        return self.last + timedelta(days=1)


def for_money(orders: QuerySet[Order]) -> QuerySet[Order]:
    """Fetch what the account of each order reads, in a fixed number of queries."""
    return orders.select_related("customer", "charges").prefetch_related(
        Prefetch(
            "lines",
            OrderLine.objects.select_related("design").only(
                "order", "position", "bars", "price_per_bar", "design__name"
            ),
        ),
        "payments",
        CREDIT_NOTES,
    )


def for_money_panel(orders: QuerySet[Order]) -> QuerySet[Order]:
    """Add to orders fetched with their lines and charges what an account reads besides."""
    return orders.prefetch_related("payments", CREDIT_NOTES)


def accounts_of(orders: Iterable[Order], *, today: date, currency: str = "") -> list[OwedRow]:
    """Return the account of each order; how the house charges is read only for orders that have not settled it."""
    terms: HouseTerms = SimpleLazyObject(HouseTerms.current)  # type: ignore[assignment]
    rate: TaxRate | None = SimpleLazyObject(usual_rate)  # type: ignore[assignment]
    currency = currency or Workshop.current().currency
    return [
        OwedRow(order, account_of(order, terms=terms, usual_rate=rate, currency=currency, today=today))
        for order in orders
    ]


def account_now(order: Order, *, today: date) -> OrderAccount:
    """Read one order's account afresh from its rows."""
    return accounts_of(for_money(Order.objects.filter(pk=order.pk)), today=today)[0].account


def money_page(*, month: date, today: date) -> MoneyPage:
    """Return the month's payments and everything that is owed today."""
    first = month.replace(day=1)
    last = (first + timedelta(days=32)).replace(day=1) - timedelta(days=1)
    payments = Payment.objects.filter(on__range=(first, last)).select_related("order__customer").order_by("on", "pk")
    sums = {row["kind"]: row["whole"] for row in payments.order_by().values("kind").annotate(whole=Sum("amount"))}
    rows = accounts_of(for_money(Order.objects.filter(status__in=OWING).order_by("needed_by", "number")), today=today)
    return MoneyPage(
        first=first,
        last=last,
        came_in=sums.get(Payment.Kind.PAYMENT.value) or ZERO,
        paid_back=sums.get(Payment.Kind.REFUND.value) or ZERO,
        payments=tuple(payments),
        owed=tuple(row for row in rows if not row.account.refusal and not row.account.standing.is_settled),
        unpriced=tuple(row.order for row in rows if row.account.refusal),
    )


def cancel_terms(terms: HouseTerms, *, currency: str) -> CancelTerms:
    return CancelTerms(
        currency=currency,
        early_percent_of_deposit=terms.early_percent_of_deposit,
        late_percent_of_deposit=terms.late_percent_of_deposit,
        begun_percent_of_total=terms.begun_percent_of_total,
    )


def cancellation_now(order: Order, *, today: date) -> tuple[Cancellation, date]:
    """Return what cancelling costs: on the day it was cancelled and at the stage it had then, else today."""
    workshop, terms = Workshop.current(), HouseTerms.current()
    stage, on = cancelled_from(order) if order.state == OrderState.CANCELLED else (order.state, today)
    account = account_now(order, today=today)
    notes = Paper.objects.filter(order=order, kind=Paper.Kind.CREDIT_NOTE).values_list("amount", flat=True)
    total = account.claim.total - sum((amount or ZERO for amount in notes), ZERO)
    facts = CancelFacts(
        stage=stage,
        on=on or today,
        cut_off=change_cut_off(order, workshop=workshop, cut_off_days=terms.cut_off_days),
        total=total,
        deposit=min(account.claim.deposit, total),
        held=account.standing.held,
    )
    return cancellation(facts, cancel_terms(terms, currency=workshop.currency)), facts.on


def cancelled_from(order: Order) -> tuple[OrderState, date | None]:
    """Return the stage an order had when it was cancelled and the day, from the trail of its moves."""
    moves = AuditEvent.objects.filter(
        subject_type=Order._meta.label_lower, subject_id=str(order.pk), verb="move_order"
    ).order_by("-at", "-pk")
    last = moves.first()
    if last is None or not last.before:
        return OrderState.ENQUIRY, None
    return OrderState(last.before["status"]), timezone.localdate(last.at)


def open_rates() -> QuerySet[TaxRate]:
    return TaxRate.objects.filter(is_shelved=False)
