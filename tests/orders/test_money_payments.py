"""Deposit, balance, overdue, refunds. Figures worked by hand."""

from datetime import date
from decimal import Decimal

import pytest

from orders.money.payments import (
    Claim,
    Credit,
    Entry,
    EntryKind,
    PaymentRefused,
    judge_payment,
    judge_refund,
    ledger,
    standing,
)

AGREED, DEPOSIT_DUE, BALANCE_DUE = date(2026, 3, 2), date(2026, 3, 9), date(2026, 5, 10)
CLAIM = Claim(Decimal("296.56"), Decimal("148.28"), AGREED, DEPOSIT_DUE, BALANCE_DUE)
PAID_DEPOSIT = Entry(date(2026, 3, 5), EntryKind.PAYMENT, Decimal("148.28"), "Deposit, bank transfer")


@pytest.mark.parametrize(
    ("day", "entries", "due", "since"),
    (
        pytest.param(date(2026, 3, 9), (), "0", None, id="on its day the deposit is not overdue"),
        pytest.param(date(2026, 3, 10), (), "148.28", DEPOSIT_DUE, id="a day later it is"),
        pytest.param(date(2026, 3, 10), (PAID_DEPOSIT,), "0", None, id="paid: nothing is overdue"),
        pytest.param(date(2026, 5, 11), (PAID_DEPOSIT,), "148.28", BALANCE_DUE, id="the balance after its day"),
        pytest.param(date(2026, 5, 11), (), "296.56", DEPOSIT_DUE, id="nothing paid: all, since the deposit"),
    ),
)
def test_what_is_overdue_and_since_when(day, entries, due, since):
    now = standing(CLAIM, entries, (), today=day)
    assert (now.due_now, now.due_since, now.is_overdue) == (Decimal(due), since, Decimal(due) > 0)


def test_the_ledger_adds_up_line_by_line():
    credit = Credit(date(2026, 5, 1), Decimal("20.00"), "Credit note N-0001: two bars short")
    paid = Entry(date(2026, 5, 9), EntryKind.PAYMENT, Decimal("148.28"), "Balance, cash")
    back = Entry(date(2026, 5, 12), EntryKind.REFUND, Decimal("20.00"), "Paid back, cash")
    rows = ledger(CLAIM, (paid, PAID_DEPOSIT, back), (credit,))
    assert [row.balance for row in rows] == [Decimal(x) for x in ("296.56", "148.28", "128.28", "-20.00", "0.00")]
    now = standing(CLAIM, (paid, PAID_DEPOSIT, back), (credit,), today=date(2026, 5, 12))
    assert (now.balance, now.held, now.is_settled) == (Decimal("0.00"), Decimal("276.56"), True)


def test_bars_are_handed_over_only_when_nothing_is_owed():
    assert not standing(CLAIM, (PAID_DEPOSIT,), (), today=BALANCE_DUE).may_hand_over
    rest = Entry(BALANCE_DUE, EntryKind.PAYMENT, Decimal("148.28"))
    assert standing(CLAIM, (PAID_DEPOSIT, rest), (), today=BALANCE_DUE).may_hand_over


def test_more_than_is_owed_is_refused_and_all_of_it_is_not():
    now = standing(CLAIM, (PAID_DEPOSIT,), (), today=BALANCE_DUE)
    judge_payment(Decimal("148.28"), now, currency="USD")
    with pytest.raises(PaymentRefused, match=r"^Only \$148\.28 is still to be paid\."):
        judge_payment(Decimal("148.29"), now, currency="USD")


def test_more_than_was_paid_is_not_paid_back():
    now = standing(CLAIM, (PAID_DEPOSIT,), (), today=BALANCE_DUE)
    judge_refund(Decimal("148.28"), now, currency="USD")
    with pytest.raises(PaymentRefused, match=r"^The customer has \$148\.28 with the shop\."):
        judge_refund(Decimal("148.29"), now, currency="USD")


@pytest.mark.parametrize("judge", (judge_payment, judge_refund))
def test_nothing_is_no_amount(judge):
    with pytest.raises(PaymentRefused, match="more than nothing"):
        judge(Decimal(0), standing(CLAIM, (), (), today=AGREED), currency="USD")
