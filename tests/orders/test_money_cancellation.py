"""What a cancellation costs. Terms as seen in the trade (common practice, no source); figures worked by hand."""

from datetime import date
from decimal import Decimal

import pytest

from orders.money.cancellation import CancelFacts, CancelTerms, cancellation
from orders.order_states import OrderState

CUT_OFF = date(2026, 4, 1)
TERMS = CancelTerms("USD", early_percent_of_deposit=Decimal(50))


def facts(stage: OrderState, *, on: date = CUT_OFF, held: str = "100.00") -> CancelFacts:
    return CancelFacts(stage, on, CUT_OFF, Decimal("200.00"), Decimal("100.00"), Decimal(held))


@pytest.mark.parametrize(
    ("given", "keep", "back", "owed"),
    (
        pytest.param(facts(OrderState.QUOTED), "0", "100.00", "0", id="quoted: nothing was agreed"),
        pytest.param(facts(OrderState.ACCEPTED), "50.00", "50.00", "0", id="on the cut-off day: half the deposit"),
        pytest.param(
            facts(OrderState.ACCEPTED, on=date(2026, 4, 2)), "100.00", "0", "0", id="a day later: the deposit"
        ),
        pytest.param(facts(OrderState.IN_PRODUCTION), "200.00", "0", "100.00", id="work has begun: all is owed"),
        pytest.param(facts(OrderState.READY, held="200.00"), "200.00", "0", "0", id="paid in full: nothing moves"),
        pytest.param(facts(OrderState.ACCEPTED, held="0"), "50.00", "0", "50.00", id="nothing was paid"),
    ),
)
def test_kept_paid_back_and_owed(given, keep, back, owed):
    result = cancellation(given, TERMS)
    assert (result.keep, result.pay_back, result.still_owed) == (Decimal(keep), Decimal(back), Decimal(owed))
    assert given.held + result.still_owed - result.pay_back == result.keep
    assert result.waived + result.keep == given.total


def test_each_line_says_what_it_is():
    lines = cancellation(facts(OrderState.ACCEPTED), TERMS).lines
    assert [(line.words, line.amount) for line in lines] == [
        ("Price agreed", Decimal("200.00")),
        ("Paid so far, less what was paid back", Decimal("100.00")),
        ("Kept: 50 % of the deposit of $100.00, up to the change cut-off, Apr 1", Decimal("50.00")),
        ("Paid back to the customer", Decimal("50.00")),
    ]
