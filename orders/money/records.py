"""Rows to frozen records for money: what an order comes to, what was paid, where it stands."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from orders.models import HouseTerms, Order, OrderCharges, Paper, TaxRate
from orders.money.house_fees import FeeFacts, FeeRules, HouseFee, fee_rows, house_fees
from orders.money.order_sum import Fee, OrderSum, PricedLine, SumRefused, SumTerms, discount_of, order_sum
from orders.money.payments import Claim, Credit, Entry, EntryKind, LedgerRow, Standing, ledger, standing
from orders.money.pricing import PriceRule, PriceRules
from orders.money.tax import ZERO, TaxMode, TaxRounding
from orders.order_states import OrderState

NOT_AGREED = (OrderState.ENQUIRY, OrderState.QUOTED)
OTHER_FEES = (("setup_fee", "Stamp or design made for it"), ("post_fee", "Post and delivery"))


@dataclass(frozen=True)
class OrderAccount:
    """Everything about the money of one order. ``sum`` is None while a price is missing; then ``refusal`` says so."""

    charges: OrderCharges
    sum: OrderSum | None
    refusal: str
    claim: Claim
    standing: Standing
    rows: tuple[LedgerRow, ...]


def charges_of(order: Order, *, terms: HouseTerms, usual_rate: TaxRate | None) -> OrderCharges:
    """Return the order's charges, or a row not yet saved that follows the house terms."""
    kept = getattr(order, "charges", None)
    if kept is not None:
        return kept
    return OrderCharges(
        order=order,
        rush_days=terms.rush_days,
        rush_percent=terms.rush_percent,
        minimum_order=terms.minimum_order,
        tax_name=usual_rate.name if usual_rate else "",
        tax_percent=usual_rate.percent if usual_rate else Decimal(0),
        tax_mode=terms.tax_mode,
        tax_rounding=terms.tax_rounding,
        deposit_percent=terms.deposit_percent,
    )


def usual_rate() -> TaxRate | None:
    return TaxRate.objects.filter(is_usual=True, is_shelved=False).first()


def sum_of(order: Order, charges: OrderCharges, *, currency: str, today: date) -> OrderSum:
    """Add the order up; refuses an order with a line that has no price."""
    lines = list(order.lines.all())
    missing = [line.design.name for line in lines if line.price_per_bar is None]
    if missing:
        raise SumRefused(f"{missing[0]} has no price yet. Set the price on its line.")
    priced = [
        PricedLine(line.design.name, line.bars, line.price_per_bar) for line in lines if line.price_per_bar is not None
    ]
    fees = fee_rows(house_fees_of(order, charges, currency=currency, today=today))
    fees += [Fee(words, getattr(charges, name)) for name, words in OTHER_FEES if getattr(charges, name)]
    return order_sum(priced, fees, sum_terms(charges, currency=currency))


def house_fees_of(order: Order, charges: OrderCharges, *, currency: str, today: date) -> tuple[HouseFee, ...]:
    """Return the fees of the house; what is a rush is judged on the day of the agreement, else of the quote."""
    goods = sum((line.price or ZERO for line in order.lines.all()), ZERO)
    goods -= discount_of(goods, sum_terms(charges, currency=currency))
    hand_over = order.needed_by - timedelta(days=order.travel_days)
    facts = FeeFacts(
        goods=goods,
        lead_days=(hand_over - (charges.agreed_on or charges.quoted_on or today)).days,
        rush_set=charges.rush_fee,
        small_set=charges.small_order_fee,
    )
    return house_fees(facts, FeeRules(currency, charges.rush_days, charges.rush_percent, charges.minimum_order))


def sum_terms(charges: OrderCharges, *, currency: str) -> SumTerms:
    return SumTerms(
        currency=currency,
        tax_mode=TaxMode(charges.tax_mode),
        tax_rounding=TaxRounding(charges.tax_rounding),
        tax_percent=charges.tax_percent,
        discount_percent=charges.discount_percent,
        discount_amount=charges.discount_amount,
        deposit_percent=charges.deposit_percent,
    )


def price_rules(terms: HouseTerms, *, currency: str) -> PriceRules:
    return PriceRules(
        currency=currency,
        rule=PriceRule(terms.price_rule),
        markup_percent=terms.markup_percent,
        cost_multiple=terms.cost_multiple,
        price_per_ounce=terms.price_per_ounce,
        price_step=terms.price_step,
    )


def account_of(
    order: Order, *, terms: HouseTerms, usual_rate: TaxRate | None, currency: str, today: date
) -> OrderAccount:
    """Return the account of an order fetched with its lines, charges, payments and papers."""
    charges = charges_of(order, terms=terms, usual_rate=usual_rate)
    refusal, added = "", None
    try:
        added = sum_of(order, charges, currency=currency, today=today)
    except SumRefused as missing:
        refusal = str(missing)
    claim = _claim(order, charges, added, terms)
    entries, credits = entries_of(order), credits_of(order, charges, claim)
    return OrderAccount(
        charges, added, refusal, claim, standing(claim, entries, credits, today=today), ledger(claim, entries, credits)
    )


def _claim(order: Order, charges: OrderCharges, added: OrderSum | None, terms: HouseTerms) -> Claim:
    total, deposit = (added.total, added.deposit) if added else (ZERO, ZERO)
    if order.state in NOT_AGREED:
        return Claim(total, deposit)
    hand_over = order.needed_by - timedelta(days=order.travel_days)
    return Claim(
        total=total,
        deposit=deposit,
        agreed_on=charges.agreed_on,
        deposit_due_on=charges.deposit_due_on,
        balance_due_on=charges.balance_due_on or hand_over - timedelta(days=terms.balance_days),
    )


def entries_of(order: Order) -> list[Entry]:
    return [
        Entry(payment.on, EntryKind(payment.kind), payment.amount, payment.words) for payment in order.payments.all()
    ]


def credits_of(order: Order, charges: OrderCharges, claim: Claim) -> list[Credit]:
    """Return credit notes, and what a settled cancellation lets go beyond them."""
    notes = [
        Credit(paper.issued_on, paper.amount or ZERO, f"Credit note {paper.number}")
        for paper in order.papers.all()
        if paper.kind == Paper.Kind.CREDIT_NOTE
    ]
    if charges.cancelled_on is None or charges.cancelled_keep is None:
        return notes
    let_go = claim.total - sum((note.amount for note in notes), ZERO) - charges.cancelled_keep
    return [*notes, Credit(charges.cancelled_on, let_go, "Cancelled: no longer asked for")] if let_go else notes
