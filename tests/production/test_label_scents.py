"""Scents on the label page: what the certificate allows on the lowest cured weight."""

from datetime import date
from decimal import Decimal

import pytest

from formulas.declaration import DeclaredInput, LabelNames
from production.labels.scents import AssessedFormula, Ceilings, scent_lines, scent_problems

NAMES = LabelNames(us="Fragrance", eu="Parfum")


def scent(grams, name="Harbor lavender"):
    return DeclaredInput(material=name, grams=Decimal(grams), role="scent", names=NAMES)


def codes(given, limits, lowest="1000"):
    lines = scent_lines(given, Ceilings(limits), lowest_cured_mass_grams=Decimal(lowest))
    return [problem.code for problem in scent_problems(lines)]


@pytest.mark.parametrize(
    ("grams", "limit", "expected"),
    [
        pytest.param("30", "5", [], id="worked by hand: 3 % of 1,000 g under 5 %"),
        pytest.param("50", "5", [], id="worked by hand: exactly the limit"),
        pytest.param("50.01", "5", ["scent_over_limit"], id="worked by hand: a hundredth of a gram over"),
        pytest.param("1", None, ["scent_limit_unknown"], id="case-C43: a blank limit is unknown, not unlimited"),
        pytest.param("30", "100", [], id="case-C43: a certificate without a limit"),
        pytest.param("30", "9.27", [], id="case-C45: the dose stands under the most that may be used"),
        pytest.param("32", "3", ["scent_over_limit"], id="case-C47: 3.2 % against 3 %"),
    ],
)
def test_a_scent_is_held_to_its_certificate(grams, limit, expected):
    limits = {"Harbor lavender": Decimal(limit) if limit else None}
    assert codes((scent(grams),), limits) == expected


def test_scent_in_a_part_counts_with_the_batter():
    part = DeclaredInput(material="Crown", grams=Decimal(40), role="part", components=(scent("30"),))
    assert codes((scent("30"), part), {"Harbor lavender": Decimal(5)}) == ["scent_over_limit"]


def test_old_scent_in_scraps_counts_with_the_new_dose():
    """case-C70: 30 g that came with the scraps and 25 g put in anew are 5.5 % of 1,000 g, over 5 %: by hand."""
    limits = {"Harbor lavender": Decimal(5)}
    assert codes((scent("30"), scent("25")), limits) == ["scent_over_limit"]
    assert codes((scent("30"), scent("20")), limits) == []


def test_two_scents_may_share_a_substance():
    limits = {"Harbor lavender": Decimal(5), "Pine": Decimal(5)}
    assert codes((scent("20"), scent("20", "Pine")), limits) == ["scents_share"]


def test_bars_without_scent_need_no_certificate():
    oil = DeclaredInput(material="Olive oil", grams=Decimal(700), role="fat", names=NAMES)
    assert codes((oil,), {}) == []


@pytest.mark.parametrize(
    ("grams", "bites", "levels"),
    [
        pytest.param("30", "the house rule", [], id="case-C47: within all three"),
        pytest.param("31", "the house rule", ["ask"], id="case-C47: over the house rule alone"),
        pytest.param("33", "the house rule", ["stop"], id="case-C47: over the assessed formula too"),
    ],
)
def test_the_strictest_of_three_ceilings_bites(grams, bites, levels):
    """Certificate 9.27, assessed 3.2, house rule 3 percent, all on 1,000 g (worked by hand)."""
    oil = DeclaredInput(material="Olive oil", grams=Decimal(1000), role="fat", names=NAMES)
    assessed = AssessedFormula("A. Berg", "R-7", date(2026, 6, 1), "Dune", 1, Decimal("3.2"))
    ceilings = Ceilings({"Harbor lavender": Decimal("9.27")}, assessed, Decimal(3))
    (line,) = scent_lines((oil, scent(grams)), ceilings, lowest_cured_mass_grams=Decimal(1000))
    assert (line.strictest.what, [problem.level for problem in line.problems]) == (bites, levels)
