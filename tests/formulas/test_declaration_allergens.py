"""Allergens: the AL and AD rows of the check table, the list itself, dates by market, sources added up, toppers."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from formulas.declaration import AllergenShare, DeclaredInput, build_declaration
from formulas.label_rules.allergens import AllergenDates, packaged_allergens, rules_by_name, same_name
from formulas.label_rules.rulebook import packaged_tables
from tests.formulas.tables.label_batch import names, scent, scented_bar
from tests.formulas.tables.label_cases import case

TABLES = packaged_tables()
BY_NAME = rules_by_name(TABLES.allergens)


def lines_of(*scents, **changes):
    return {line.name: line for line in build_declaration(scented_bar(*scents, **changes), TABLES).allergens}


def declared(*scents, **changes):
    return [line.name for line in lines_of(*scents, **changes).values() if line.is_declared]


def codes(*scents, level="stop", **changes):
    problems = build_declaration(scented_bar(*scents, **changes), TABLES).problems
    return [problem.code for problem in problems if problem.level == level]


# The list itself -----------------------------------------------------------------------------------------------------


def test_the_list_has_81_names_and_two_that_are_prohibited():
    """24 older and 57 newer names: Regulation (EU) 2023/1545, read in transcriptions."""
    rules = packaged_allergens()
    assert [sum(rule.list_name == name for rule in rules) for name in ("older", "newer", "prohibited")] == [24, 57, 2]
    assert len({rule.entry for rule in rules}) == 83
    assert len({same_name(rule.name) for rule in rules}) == 83


def test_no_covered_name_belongs_to_two_entries():
    seen: dict[str, str] = {}
    for rule in packaged_allergens():
        for name in {same_name(n) for n in (rule.name, *rule.covered_names)}:
            assert seen.setdefault(name, rule.entry) == rule.entry


@pytest.mark.parametrize("rule", packaged_allergens(), ids=lambda rule: rule.entry)
def test_every_name_and_every_covered_name_is_declared_under_its_entry(rule):
    """Each is put at 1 percent of the fragrance: 0.022 percent of the bar, over the threshold."""
    for name in (rule.name, *rule.covered_names):
        held = DeclaredInput("Test scent", Decimal(30), "scent", allergens=(AllergenShare(name.upper(), Decimal(1)),))
        assert declared(held) == ([] if rule.is_prohibited else [rule.name])


def test_check_digits_of_the_registry_numbers():
    """The last digit of a CAS number is the weighted sum of the others, modulo 10."""
    for number in (number for rule in packaged_allergens() for number in rule.cas_numbers):
        digits = [int(digit) for digit in number.replace("-", "")]
        weighted = sum(place * digit for place, digit in enumerate(reversed(digits[:-1]), start=1))
        assert weighted % 10 == digits[-1], number


# The checks ----------------------------------------------------------------------------------------------------------

ONE_SCENT = (
    case("AL01", {"Linalool": "12"}, "Linalool", "0.2667", 4, True),
    case("AL03", {"Vanillin": "0.30"}, "Vanillin", "0.006667", 6, False),
    case("AL04", {"Eugenol": "0.45"}, "Eugenol", "0.0100", 4, False),
    case("AL05", {"Eugenol": "0.46"}, "Eugenol", "0.010222", 6, True),
)


@pytest.mark.parametrize(("shares", "name", "percent", "places", "is_declared"), ONE_SCENT)
def test_threshold_must_be_exceeded(shares, name, percent, places, is_declared):
    line = lines_of(scent("Hedge blossom", "30", **shares))[name]
    assert (round(line.percent, places), line.is_declared) == (Decimal(percent), is_declared)


@pytest.mark.parametrize(("share", "is_declared"), (case("AL02", "0.45", False), case("AL02", "0.4501", True)))
def test_trigger_share_of_the_fragrance(share, is_declared):
    assert lines_of(scent("Hedge blossom", "30", Coumarin=share))["Coumarin"].is_declared is is_declared


@pytest.mark.parametrize(
    ("lowest", "percent", "is_declared"),
    (
        case("AL06", "1500", "0.0092", False),
        case("AL06", "1350", "0.0102", True),
    ),
)
def test_why_the_lowest_cured_mass_is_used(lowest, percent, is_declared):
    line = lines_of(scent("Hedge blossom", "30", Eugenol="0.46"), lowest=lowest, water="400")["Eugenol"]
    assert (round(line.percent, 4), line.is_declared) == (Decimal(percent), is_declared)


LAVENDER = replace(
    scent("Lavender oil", "20", Linalyl_Acetate="38", Linalool="35", Camphor="0.5"),
    names=names("Lavandula Angustifolia (Lavender) Oil", "Lavandula Angustifolia Oil"),
)


@pytest.mark.parametrize(
    "expected",
    (
        case(
            "AL07",
            {
                "Camphor": ("0.007407", False),
                "Lavandula Oil/Extract": ("1.481481", True),
                "Linalool": ("0.518519", True),
                "Linalyl Acetate": ("0.562963", True),
            },
        ),
    ),
)
def test_a_listed_oil_and_what_it_holds(expected):
    found = {name: (str(round(line.percent, 6)), line.is_declared) for name, line in lines_of(LAVENDER).items()}
    assert found == expected


@pytest.mark.parametrize(("percent", "sources"), (case("AL08", "0.0963", ("Lavender oil", "Rosemary oil")),))
def test_sources_are_added_up(percent, sources):
    camphor = lines_of(LAVENDER, scent("Rosemary oil", "10", Camphor="12"))["Camphor"]
    assert (round(camphor.percent, 4), camphor.is_declared, camphor.sources) == (Decimal(percent), True, sources)


@pytest.mark.parametrize(("first", "second", "percent"), (case("AL09", "0.27", "0.225", "0.0110"),))
def test_members_of_a_group_are_added_up(first, second, percent):
    """0.27 and 0.225 percent of 30 g are 0.006 and 0.005 percent of 1350 g."""
    held = (AllergenShare("Alpha-Damascone", Decimal(first)), AllergenShare("trans-Rose ketone 3", Decimal(second)))
    line = lines_of(DeclaredInput("Rose scent", Decimal(30), "scent", allergens=held))["Rose Ketones"]
    assert (round(line.percent, 4), line.is_declared) == (Decimal(percent), True)


@pytest.mark.parametrize(("is_leave_on", "is_declared"), (case("AL10", True, True), case("AL10", False, False)))
def test_leave_on_goods_have_a_lower_threshold(is_leave_on, is_declared):
    """0.0495 percent of 30 g is 0.0011 percent of 1350 g."""
    line = lines_of(scent("Hedge blossom", "30", Linalool="0.0495"), is_leave_on=is_leave_on)["Linalool"]
    assert (round(line.percent, 4), line.is_declared) == (Decimal("0.0011"), is_declared)


# 0.9 percent of 30 g is 0.02 percent of 1350 g.
DATES = (
    case("AD01", "eu", "Vanillin", date(2026, 8, 1), date(2026, 8, 1), True),
    case("AD02", "eu", "Vanillin", date(2025, 6, 1), date(2028, 7, 31), False),
    case("AD02", "eu", "Vanillin", date(2025, 6, 1), date(2028, 8, 1), True),
    case("AD02", "eu", "Linalool", date(2025, 6, 1), date(2028, 7, 31), True),
    case("AD03", "ca", "Linalool", date(2026, 4, 12), date(2026, 4, 12), True),
    case("AD03", "ca", "Linalool", date(2026, 4, 11), date(2026, 4, 11), False),
    case("AD04", "ca", "Vanillin", date(2026, 7, 31), date(2028, 7, 31), False),
    case("AD04", "ca", "Vanillin", date(2026, 8, 1), date(2026, 8, 1), True),
)


@pytest.mark.parametrize(("market", "name", "placed", "day", "is_declared"), DATES)
def test_from_when_a_name_is_needed(market, name, placed, day, is_declared):
    line = lines_of(scent("Hedge blossom", "30", **{name: "0.9"}), market=market, on_date=day, first_placed_on=placed)[
        name
    ]
    assert (round(line.percent, 4), line.is_declared) == (Decimal("0.02"), is_declared)


@pytest.mark.parametrize(
    ("market", "expected"),
    (
        pytest.param("uk", ["Linalool"], id="Great Britain: only the older names were found"),
        pytest.param("us_cosmetic", [], id="US: no rule in force"),
        pytest.param("us_soap", [], id="US soap: no rule"),
    ),
)
def test_other_markets(market, expected):
    """Marks beside each row of allergen_dates.csv; the British row is doubtful."""
    assert declared(scent("Hedge blossom", "30", Linalool="12", Vanillin="12"), market=market) == expected


# On the label --------------------------------------------------------------------------------------------------------


def text_of(*scents, **changes):
    return build_declaration(scented_bar(*scents, **changes), TABLES).text.split(", ")


def test_small_allergens_follow_in_the_alphabet():
    scented = scent("Hedge blossom", "30", Linalool="12", Coumarin="2", Eugenol="1")
    assert text_of(scented)[-4:] == ["Parfum", "Coumarin", "Eugenol", "Linalool"]


def test_an_allergen_over_one_percent_takes_its_place_by_weight():
    assert text_of(LAVENDER)[-4:] == ["Lavandula Oil/Extract", "Parfum", "Linalool", "Linalyl Acetate"]


def test_a_name_that_is_on_the_list_already_is_not_printed_twice():
    alcohol = DeclaredInput("Preservative", Decimal(5), "additive", names("Benzyl Alcohol"))
    assert text_of(alcohol).count("Benzyl Alcohol") == 1
    assert declared(alcohol) == ["Benzyl Alcohol"]


# Problems ------------------------------------------------------------------------------------------------------------

UNKNOWN = DeclaredInput("Mystery scent", Decimal(30), "scent")


@pytest.mark.parametrize(("market", "level"), (("eu", "stop"), ("uk", "stop"), ("ca", "stop"), ("us_soap", "note")))
def test_unknown_is_never_absent(market, level):
    assert "unknown_allergens" in codes(UNKNOWN, level=level, market=market)
    stated = replace(UNKNOWN, allergens=())
    assert "unknown_allergens" not in codes(stated, level=level, market=market)


def test_an_unknown_scent_inside_a_topper_counts():
    topper = DeclaredInput("Rose topper", Decimal(40), "part", components=(replace(UNKNOWN, grams=Decimal(40)),))
    assert codes(topper) == ["unknown_allergens"]
    assert codes(replace(topper, allergens=())) == []


@pytest.mark.parametrize(
    ("market", "on_date", "expected"),
    (
        ("eu", date(2026, 9, 1), ["prohibited_substance"]),
        ("uk", date(2026, 9, 1), ["prohibited_substance"]),
        ("us_soap", date(2026, 9, 1), []),
    ),
)
def test_prohibited_substances_block(market, on_date, expected):
    """Regulations (EU) 2017/1410 and (EU) 2021/1902, read in summaries."""
    held = scent("Old blend", "30", Butylphenyl_Methylpropional="0.001")
    assert codes(held, market=market, on_date=on_date) == expected
    assert codes(scent("Old blend", "30", HICC="0"), market=market, on_date=on_date) == []


def test_limits_of_an_entry():
    """Isoeugenol at most 0.02 percent: Annex III entry 73, read. 0.9 percent of 30 g is 0.02 percent of 1350 g."""
    assert codes(scent("Clove blend", "30", Isoeugenol="0.91")) == ["allergen_over_limit"]
    assert codes(scent("Clove blend", "30", Isoeugenol="0.9")) == []


def test_a_name_off_the_list_is_asked_about():
    assert "allergen_not_listed" in codes(scent("Odd", "30", Linalol="3"), level="ask")
    assert "allergen_not_listed" not in codes(scent("Odd", "30", Linalool="3"), level="ask")


def test_without_a_lowest_weight_all_water_is_taken_away():
    """1139 g oils and lye and 30 g scent are what cannot dry: 0.5 percent of 30 g in 1169 g (worked by hand)."""
    bar = scented_bar(scent("Hedge blossom", "30", Eugenol="0.5"))
    line = build_declaration(replace(bar, lowest_cured_mass_grams=None), TABLES).allergens[0]
    assert round(line.percent, 6) == Decimal("0.012831")
    found = build_declaration(replace(bar, lowest_cured_mass_grams=None), TABLES).problems
    assert "lowest_mass_assumed" in [problem.code for problem in found]
    assert "lowest_mass_assumed" not in codes(scent("Hedge blossom", "30", Eugenol="0.5"), level="note")


# Toppers and seals ---------------------------------------------------------------------------------------------------

some_name = st.sampled_from([rule.name for rule in packaged_allergens() if not rule.is_prohibited])
some_shares = st.dictionaries(some_name, st.decimals(min_value="0.01", max_value="2", places=2), max_size=6)


@settings(max_examples=80, deadline=None)
@given(some_shares, some_shares, st.decimals(min_value="1", max_value="400", places=1))
def test_a_topper_never_removes_an_allergen(in_bar, in_topper, topper_grams):
    body = scent("Hedge blossom", "30", **{name.replace(" ", "_"): str(share) for name, share in in_bar.items()})
    held = tuple(AllergenShare(name, share) for name, share in in_topper.items())
    topper = DeclaredInput("Rose topper", topper_grams, "part", names("Topper"), allergens=held)
    plain = set(declared(body))
    topped = set(declared(body, topper, lowest=str(Decimal(1350) + topper_grams)))
    assert plain <= topped


def test_a_topper_that_would_thin_an_allergen_leaves_it_on_the_list():
    """0.46 percent of 30 g in 1350 g is over; in 1550 g with the topper it would be 0.0089 percent (worked by hand)."""
    body = scent("Hedge blossom", "30", Eugenol="0.46")
    topper = DeclaredInput("Plain topper", Decimal(200), "part", names("Topper"), allergens=())
    line = lines_of(body, topper, lowest="1550")["Eugenol"]
    assert (line.is_declared, line.basis) == (True, "lowest cured mass, without the parts: 1350 g")


def test_a_topper_can_bring_an_allergen():
    topper = DeclaredInput("Rose topper", Decimal(50), "part", names("Topper"),
                           allergens=(AllergenShare("Geraniol", Decimal(1)),))  # fmt: skip
    assert declared(scent("Hedge blossom", "30"), topper, lowest="1400") == ["Geraniol"]


def test_dates_without_a_day_are_not_in_force():
    dates = AllergenDates("eu", "newer", "declare", Decimal("0.01"), Decimal("0.001"), None, None, "test")
    assert dates.is_in_force(on_date=date(2030, 1, 1), first_placed_on=date(2030, 1, 1)) is False
