"""What the shop's rules put on an order. Worked by hand."""

from decimal import Decimal

import pytest

from orders.money.house_fees import FeeFacts, FeeRules, fee_rows, house_fees
from orders.money.order_sum import Fee

RULES = FeeRules("USD", rush_days=49, rush_percent=Decimal(25), minimum_order=Decimal("60.00"))


def facts(goods: str, lead_days: int, **set_by_hand: Decimal) -> FeeFacts:
    return FeeFacts(Decimal(goods), lead_days, **set_by_hand)


@pytest.mark.parametrize(
    ("given", "rows"),
    (
        pytest.param(facts("86.90", 48), [Fee("Rush, 25 %", Decimal("21.73"))], id="86.90 x 0.25 = 21.725, half up"),
        pytest.param(facts("86.90", 49), [], id="the usual days are no rush"),
        pytest.param(facts("45.50", 80), [Fee("Small order, up to $60.00", Decimal("14.50"))], id="60.00 - 45.50"),
        pytest.param(facts("60.00", 80), [], id="the least itself is enough"),
        pytest.param(
            facts("40.00", 10),
            [Fee("Rush, 25 %", Decimal("10.00")), Fee("Small order, up to $60.00", Decimal("20.00"))],
            id="both; a rush does not make an order larger",
        ),
        pytest.param(
            facts("86.90", 48, rush_set=Decimal(0)), [Fee("Rush, let go", Decimal(0))], id="let go, the row stays"
        ),
        pytest.param(facts("86.90", 48, rush_set=Decimal(10)), [Fee("Rush", Decimal(10))], id="another amount"),
        pytest.param(facts("86.90", 90, rush_set=Decimal(10)), [Fee("Rush", Decimal(10))], id="a rush by hand"),
        pytest.param(facts("86.90", -3), [Fee("Rush, 25 %", Decimal("21.73"))], id="a day gone by is a rush"),
    ),
)
def test_fees_of_the_house(given, rows):
    assert fee_rows(house_fees(given, RULES)) == rows


def test_a_shop_without_rules_charges_nothing():
    assert house_fees(facts("5.00", -1), FeeRules("USD", rush_percent=Decimal(25))) == ()


def test_less_than_the_rule_is_let_go_and_more_is_not():
    let_go = [house_fees(facts("86.90", 48, rush_set=Decimal(fee)), RULES)[0].is_let_go for fee in ("21.72", "21.73")]
    assert let_go == [True, False]
