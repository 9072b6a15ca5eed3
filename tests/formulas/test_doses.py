"""Scents and additives against the oils, the batter and the dried bar; limits on file, over, and unknown."""

from decimal import Decimal

import pytest

from formulas.doses import Dose, Pot, dose_sheet

# The masses of the worked formula (1,000 g of oils, 1,446.889 g of batter, 20.694 % of it water), by hand:
# 1446.889 − 299.416 = 1147.473 g without its water.
POT = Pot(Decimal(1000), Decimal("1446.889"), Decimal("1147.473"), Decimal("299.416"))


def scent(grams: str, limit: str | None, name: str = "Fern") -> Dose:
    return Dose(name, Decimal(grams), is_scent=True, limit_percent=None if limit is None else Decimal(limit))


def salt(grams: str, low: str = "1", high: str = "3", basis: str = "oils") -> Dose:
    return Dose(
        "Sea salt",
        Decimal(grams),
        usual_low_percent=Decimal(low),
        usual_high_percent=Decimal(high),
        basis=basis,  # type: ignore[arg-type]
    )


def codes(*doses: Dose, pot: Pot = POT) -> list[tuple[str, str]]:
    return [(finding.level, finding.code) for finding in dose_sheet(doses, pot).findings]


def test_a_dose_is_shown_as_percent_of_oils_of_batter_and_of_the_dried_bar():
    row = dose_sheet((scent("30", "5"),), POT).rows[0]
    # By hand: 30 / 1000, 30 / 1446.889, 30 / 1147.473; 5 % of 1147.473 g is 57.37 g.
    shown = [round(figure, 3) for figure in (row.percent_of_oils, row.percent_of_batter, row.percent_of_bar)]
    assert shown == [Decimal("3.000"), Decimal("2.073"), Decimal("2.614")]
    assert round(row.most_grams, 2) == Decimal("57.37")


# Case C21 gives 52 g of essential oils on 870 g of oils: 6.0 % of the oils, 4.5 % of a bar of 1,146 g in all.
def test_case_c21_percent_of_oils_and_of_the_bar_side_by_side():
    row = dose_sheet((scent("52", "5"),), Pot(Decimal(870), Decimal(1283), Decimal(1146))).rows[0]
    assert (round(row.percent_of_oils, 1), round(row.percent_of_bar, 1)) == (Decimal("6.0"), Decimal("4.5"))


@pytest.mark.parametrize(
    ("grams", "limit", "expected"),
    (
        pytest.param("30", None, [("stop", "scent-limit-unknown")], id="case-C44: no limit on file"),
        pytest.param("30", "2.6", [("stop", "scent-over-limit")], id="2.614 % over 2.6 %"),
        pytest.param("30", "2.62", [], id="2.614 % under 2.62 %"),
        pytest.param("57.37365", "5", [], id="exactly at the limit"),
        pytest.param("57.37366", "5", [("stop", "scent-over-limit")], id="a hundredth of a milligram over"),
        pytest.param("30", "0", [("stop", "scent-over-limit")], id="a limit of zero forbids it"),
    ),
)
def test_a_scent_against_its_limit(grams, limit, expected):
    assert codes(scent(grams, limit)) == expected


def test_over_the_limit_says_how_much_of_the_oils_may_be_used():
    finding = dose_sheet((scent("30", "2"),), POT).findings[0]
    # By hand: 2 % of 1147.473 g is 22.949 g, 2.2949 % of the oils, rounded down.
    assert finding.text == "Fern makes 2.61 % of the dried bar; the supplier's certificate allows 2 %."
    assert finding.mend == "Use at most 2.29 % of the oils."


def test_several_scents_keep_their_own_limits_and_are_added_up():
    sheet = dose_sheet((scent("20", "5", "Fern"), scent("10", "5", "Moss")), POT)
    assert [row.share_of_scent_percent.quantize(Decimal("0.1")) for row in sheet.rows] == [
        Decimal("66.7"),
        Decimal("33.3"),
    ]
    assert sheet.scent.grams == 30
    assert [finding.code for finding in sheet.findings] == ["scents-share-substances"]


def test_one_scent_of_a_blend_without_a_limit_stops_the_whole():
    assert codes(scent("20", "5", "Fern"), scent("1", None, "Moss")) == [
        ("stop", "scent-limit-unknown"),
        ("note", "scents-share-substances"),
    ]


@pytest.mark.parametrize(
    ("grams", "basis", "expected"),
    (
        pytest.param("31", "oils", [("ask", "dose-above-usual")], id="3.1 % of oils over 3"),
        pytest.param("30", "oils", [], id="3 % is the top of the range"),
        pytest.param("9", "oils", [("note", "dose-below-usual")], id="0.9 % under 1"),
        pytest.param("10", "oils", [], id="1 % is the bottom of the range"),
        pytest.param("30", "liquid", [("ask", "dose-above-usual")], id="10.0 % of 299.4 g of liquid"),
        pytest.param("6", "liquid", [], id="2 % of the liquid"),
        pytest.param("300", "", [], id="no basis on file, nothing to compare"),
    ),
)
def test_a_dose_against_its_usual_range(grams, basis, expected):
    assert codes(salt(grams, basis=basis)) == expected


def test_what_is_no_scent_needs_no_limit():
    assert codes(Dose("Kaolin", Decimal(10))) == []


def test_nothing_dosed_is_an_empty_sheet():
    assert dose_sheet((), POT).rows == ()
