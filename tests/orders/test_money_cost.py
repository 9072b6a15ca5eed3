"""What a bar truly costs. Each case says whence its figures come."""

from decimal import Decimal

import pytest

from orders.money.cost import (
    ML_PER_US_FLUID_OUNCE,
    CostInputs,
    CostRefused,
    CrossCheck,
    Delivered,
    FreightRule,
    MaterialUse,
    PartUse,
    WorkTime,
    cost_sheet,
    cross_check,
    landed_price_per_gram,
    margin_at,
    price_per_gram_by_volume,
    share_freight,
)
from orders.money.pricing import GRAMS_PER_OUNCE

# One pot: 1000 g of oil at 0.006, lye 140 g at 0.005, 12 bars cut, 10 sold. Worked by hand:
# stuff 6.00 + 0.70 + parts 10 x 0.20 = 2.00 + packaging 10 x 0.25 = 2.50 -> 11.20; overhead 10 % 1.12;
# minutes 60 + 12 x 2 + 10 x 3 = 114, at 20 an hour 38.00; together 50.32, a bar 5.032.
POT = CostInputs(
    materials=(
        MaterialUse("Olive oil", Decimal(1000), Decimal("0.006")),
        MaterialUse("Lye", Decimal(140), Decimal("0.005")),
    ),
    parts=(PartUse("Shell", 10, Decimal("0.20"), Decimal(3)),),
    bars_made=12,
    bars_sold=10,
    packaging_per_bar=Decimal("0.25"),
    work=WorkTime(Decimal(60), Decimal(2), Decimal(20)),
    overhead_percent=Decimal(10),
)


def test_freight_by_value_worked_by_hand():
    """case-C86."""
    # 17.53 on goods of 67.89 is 25.82 %; boxes of 38.00 carry 9.81, so 200 of them cost 47.81, 0.239 each
    goods = (Delivered("boxes", Decimal("38.00"), Decimal(1)), Delivered("the rest", Decimal("29.89"), Decimal(1)))
    shares = share_freight(Decimal("17.53"), goods, rule=FreightRule.VALUE, currency="USD")
    assert shares == (Decimal("9.81"), Decimal("7.72"))
    assert ((38 + shares[0]) / 200).quantize(Decimal("0.001")) == Decimal("0.239")


def test_freight_by_weight_worked_by_hand():
    goods = (Delivered("oil", Decimal("10.00"), Decimal(3000)), Delivered("mica", Decimal("30.00"), Decimal(100)))
    shares = share_freight(Decimal("9.30"), goods, rule=FreightRule.WEIGHT, currency="USD")
    assert shares == (Decimal("9.00"), Decimal("0.30"))


def test_freight_over_nothing_is_refused():
    with pytest.raises(CostRefused, match="no weights are known"):
        share_freight(Decimal(5), (Delivered("gift", Decimal(0), Decimal(0)),), rule=FreightRule.WEIGHT, currency="USD")


def test_landed_price_of_a_butter_worked_by_hand():
    """case-C99."""
    # (65.49 + 11.18) / 160 oz = 0.479 an ounce
    assert landed_price_per_gram(Decimal("65.49"), Decimal("11.18"), Decimal(160)).quantize(
        Decimal("0.001")
    ) == Decimal("0.479")


def test_a_jug_of_fluid_ounces_holds_fewer_ounces():
    """case-C85: costed as 128 oz it would look 4.5 % cheaper than it is; the true ounce costs 4.8 % more."""
    # 128 US fl oz of olive oil at 0.915 g/ml: 3463.65 g = 122.2 oz (worked by hand)
    each = price_per_gram_by_volume(Decimal("40.00"), ml=128 * ML_PER_US_FLUID_OUNCE, density_g_per_ml=Decimal("0.915"))
    assert (Decimal("40.00") / each).quantize(Decimal("0.1")) == Decimal("3463.7")
    as_weight = Decimal("40.00") / (128 * GRAMS_PER_OUNCE)
    assert round(100 * (1 - as_weight / each), 1) == Decimal("4.5")
    assert round(100 * (each / as_weight - 1), 1) == Decimal("4.8")


def test_a_pot_worked_by_hand():
    sheet = cost_sheet(POT)
    assert [(line.name, line.amount) for line in sheet.lines] == [
        ("Olive oil", Decimal("6.000")),
        ("Lye", Decimal("0.700")),
        ("Shell", Decimal("2.00")),
        ("Packaging", Decimal("2.50")),
        ("Overhead", Decimal("1.12")),
        ("Bench time", Decimal(38)),
    ]
    assert (sheet.total, sheet.per_bar, sheet.minutes) == (Decimal("50.32"), Decimal("5.032"), Decimal(114))
    assert sheet.is_complete


def test_margin_and_pay_an_hour_worked_by_hand():
    # at 7.50: margin 2.468 a bar, 32.9 % of the price; (24.68 + 38.00) over 1.9 hours is 32.99
    margin = margin_at(Decimal("7.50"), cost_sheet(POT))
    assert margin.per_bar == Decimal("2.468")
    assert margin.percent_of_price.quantize(Decimal("0.1")) == Decimal("32.9")
    assert margin.pay_per_hour.quantize(Decimal("0.01")) == Decimal("32.99")


def test_a_price_below_cost_pays_less_than_the_rate():
    assert margin_at(Decimal("5.00"), cost_sheet(POT)).pay_per_hour < 20


def test_a_material_without_a_price_is_named():
    given = CostInputs(**{**vars(POT), "materials": (MaterialUse("Mica", Decimal(3), None),)})
    assert cost_sheet(given).unpriced == ("Mica",)


def test_a_small_pot_costs_more_a_bar_for_the_same_bench_time():
    """case-C86, case-C99."""
    # the minutes of a pot do not shrink with it (common practice, no source)
    small = CostInputs(**{**vars(POT), "bars_made": 4, "bars_sold": 4, "parts": ()})
    large = CostInputs(**{**vars(POT), "bars_made": 18, "bars_sold": 18, "parts": ()})
    assert cost_sheet(small).per_bar > cost_sheet(large).per_bar


def test_a_loaf_of_six_costs_what_its_materials_cost():
    """case-C83: nine lines come to 6.82, 1.137 for each of six bars; the lines themselves are not published."""
    given = CostInputs(
        materials=(MaterialUse("nine lines", Decimal(1), Decimal("6.82")),),
        parts=(),
        bars_made=6,
        bars_sold=6,
        packaging_per_bar=Decimal(0),
        work=WorkTime(Decimal(0), Decimal(0), Decimal(0)),
        overhead_percent=Decimal(0),
    )
    assert round(cost_sheet(given).per_bar, 3) == Decimal("1.137")
    one_spoiled = CostInputs(**{**vars(given), "bars_sold": 5})
    assert round(cost_sheet(one_spoiled).per_bar, 3) == Decimal("1.364")


def test_a_price_is_held_against_rules_of_thumb():
    """case-C87. Worked by hand: 20.128 is 4 x the full 5.032; materials 6.70 for ten bars, so 30.04 x what goes in."""
    found = cross_check(Decimal("20.128"), cost_sheet(POT))
    assert (found.of_full_cost, round(found.of_materials, 2)) == (Decimal(4), Decimal("30.04"))


def test_nothing_known_is_no_multiple():
    free = CostInputs(
        **{
            **vars(POT),
            "materials": (),
            "parts": (),
            "packaging_per_bar": Decimal(0),
            "work": WorkTime(*[Decimal(0)] * 3),
        }
    )
    assert cross_check(Decimal(5), cost_sheet(free)) == CrossCheck(None, None)


def test_a_pot_with_no_bar_to_sell_has_no_cost_a_bar():
    with pytest.raises(CostRefused, match="No bar of this pot can be sold"):
        cost_sheet(CostInputs(**{**vars(POT), "bars_sold": 0}))
