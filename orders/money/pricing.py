"""What a bar might be sold at by the workshop's own rule. A suggestion: a person sets the price."""

from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from enum import StrEnum

from soapshop.money import format_money, round_money

GRAMS_PER_OUNCE = Decimal("28.349523125")  # exact: NIST Handbook 44, appendix C


class PriceRule(StrEnum):
    MARKUP = "markup"
    MULTIPLE = "multiple"
    PER_OUNCE = "per_ounce"
    PRICE_LIST = "price_list"


class PriceRefused(ValueError):
    """No price can be suggested; the message says what is missing and the mend."""


@dataclass(frozen=True)
class PriceRules:
    currency: str
    rule: PriceRule = PriceRule.MARKUP
    markup_percent: Decimal = Decimal(50)
    cost_multiple: Decimal = Decimal(2)
    price_per_ounce: Decimal = Decimal(0)
    price_step: Decimal = Decimal("0.10")


@dataclass(frozen=True)
class PriceFacts:
    """What is known of a bar. None means not known."""

    cost_per_bar: Decimal | None = None
    bar_grams: Decimal | None = None
    list_price: Decimal | None = None


@dataclass(frozen=True)
class SuggestedPrice:
    price: Decimal
    working: str
    is_under_cost: bool


def suggested_price(facts: PriceFacts, rules: PriceRules) -> SuggestedPrice:
    """Return the price a bar by the shop's rule, rounded up to the shop's step."""
    exact, words = _by_rule(facts, rules)
    price = round_up(exact, step=rules.price_step, currency=rules.currency)
    step = format_money(rules.price_step, currency=rules.currency)
    return SuggestedPrice(
        price=price,
        working=f"{words}, rounded up to a step of {step}",
        is_under_cost=facts.cost_per_bar is not None and price < facts.cost_per_bar,
    )


def _by_rule(facts: PriceFacts, rules: PriceRules) -> tuple[Decimal, str]:
    if rules.rule == PriceRule.PRICE_LIST:
        if facts.list_price is None:
            raise PriceRefused("This design is not on the price list. Put it there, or choose another price rule.")
        return facts.list_price, "the price list"
    if rules.rule == PriceRule.PER_OUNCE:
        if facts.bar_grams is None:
            raise PriceRefused(
                "The weight of a bar is not known. Give the mold its size, or choose another price rule."
            )
        ounces = facts.bar_grams / GRAMS_PER_OUNCE
        each = format_money(rules.price_per_ounce, currency=rules.currency)
        return ounces * rules.price_per_ounce, f"{ounces:.2f} oz × {each}"
    if facts.cost_per_bar is None:
        raise PriceRefused("The cost of a bar is not known. Give the lots their prices, or choose another price rule.")
    cost = format_money(facts.cost_per_bar, currency=rules.currency)
    if rules.rule == PriceRule.MULTIPLE:
        return facts.cost_per_bar * rules.cost_multiple, f"cost {cost} × {_plain(rules.cost_multiple)}"
    by = 1 + rules.markup_percent / 100
    return facts.cost_per_bar * by, f"cost {cost} and {_plain(rules.markup_percent)} % on it"


def round_up(amount: Decimal, *, step: Decimal, currency: str) -> Decimal:
    if step <= 0:
        return round_money(amount, currency=currency)
    return round_money((amount / step).to_integral_value(rounding=ROUND_CEILING) * step, currency=currency)


def _plain(number: Decimal) -> str:
    return f"{number.normalize():f}"
