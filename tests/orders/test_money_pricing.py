"""Price by the workshop's rule. Worked by hand."""

from decimal import Decimal

import pytest

from orders.money.pricing import (
    PriceFacts,
    PriceRefused,
    PriceRule,
    PriceRules,
    suggested_price,
)

FACTS = PriceFacts(cost_per_bar=Decimal("3.21"), bar_grams=Decimal("127.573"), list_price=Decimal("7.20"))


def rules(rule: PriceRule, **changes: object) -> PriceRules:
    return PriceRules("USD", rule, **changes)


@pytest.mark.parametrize(
    ("given", "price"),
    (
        pytest.param(rules(PriceRule.MULTIPLE), "6.50", id="3.21 x 2 = 6.42, up to 6.50"),
        pytest.param(rules(PriceRule.MARKUP), "4.90", id="3.21 x 1.5 = 4.815, up to 4.90"),
        pytest.param(
            rules(PriceRule.PER_OUNCE, price_per_ounce=Decimal("1.50")), "6.80", id="4.5 oz x 1.50 = 6.75, up to 6.80"
        ),
        pytest.param(rules(PriceRule.PRICE_LIST), "7.20", id="the list says it"),
        pytest.param(rules(PriceRule.MULTIPLE, price_step=Decimal(0)), "6.42", id="no step: to the cent"),
    ),
)
def test_suggested_price(given, price):
    assert suggested_price(FACTS, given).price == Decimal(price)


def test_a_price_under_cost_is_said():
    cheap = rules(PriceRule.PER_OUNCE, price_per_ounce=Decimal("0.50"))
    assert suggested_price(FACTS, cheap).is_under_cost
    assert not suggested_price(FACTS, rules(PriceRule.MULTIPLE)).is_under_cost


@pytest.mark.parametrize("rule", tuple(PriceRule))
def test_what_is_missing_is_named(rule):
    with pytest.raises(PriceRefused, match=r"(Give|Put) .+, or choose another price rule\.$"):
        suggested_price(PriceFacts(), rules(rule))
