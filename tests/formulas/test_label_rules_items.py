"""What must be on the label by market and day, and the questions that stay open until a person answers."""

import csv
from datetime import date
from decimal import Decimal

import pytest

from formulas.label_rules.required_items import Decision, missing_items, required_items
from formulas.label_rules.rows import TABLES, LabelRuleError, row_for_size, rows_of

DAY = date(2026, 11, 1)
ANSWER = Decision("made here", "Ada Quill", DAY)


def stops(market, on_date=DAY, **filled):
    found = missing_items(market, filled=filled, decisions={}, on_date=on_date)
    return [problem.code for problem in found if problem.level == "stop"]


@pytest.mark.parametrize(
    ("market", "codes"),
    (
        ("us_soap", ["missing_identity", "missing_net_quantity", "missing_name_and_place"]),
        (
            "us_cosmetic",
            [
                "missing_identity",
                "missing_net_quantity",
                "missing_name_and_place",
                "missing_ingredients",
                "missing_contact",
            ],
        ),
        ("eu", ["missing_responsible_person", "missing_net_quantity", "missing_batch_number", "missing_ingredients"]),
        ("uk", ["missing_responsible_person", "missing_net_quantity", "missing_batch_number", "missing_ingredients"]),
        (
            "ca",
            [
                "missing_identity",
                "missing_net_quantity",
                "missing_name_and_place",
                "missing_ingredients",
                "missing_contact",
            ],
        ),
    ),
)
def test_an_empty_label_is_stopped(market, codes):
    """15 USC 1453(a), 21 CFR 701, Regulation (EC) No 1223/2009 Art. 19, C.R.C. c. 417: marks beside each row."""
    assert stops(market) == codes


def test_what_is_filled_is_not_missed():
    assert stops("us_soap", identity="Soap", net_quantity="Net Wt 4.25 oz (120 g)", name_and_place="Quill Works") == []
    assert stops("us_soap", identity=" ", net_quantity="Net Wt 4.25 oz (120 g)", name_and_place="Quill Works") == [
        "missing_identity"
    ]


@pytest.mark.parametrize(("day", "has_contact"), ((date(2024, 12, 28), False), (date(2024, 12, 29), True)))
def test_the_us_contact_binds_from_its_day(day, has_contact):
    """FD&C Act s.609(a), in force 29 December 2024 (date from memory)."""
    assert ("contact" in {item.key for item in required_items("us_cosmetic", day)}) is has_contact


def test_an_open_question_needs_a_name():
    def asks(**decisions):
        found = missing_items("us_soap", filled={}, decisions=decisions, on_date=DAY)
        return [problem.code for problem in found if problem.level == "ask"]

    assert asks() == ["undecided_role_word", "undecided_street"]
    assert asks(role_word=ANSWER, street=Decision("listed", "", DAY)) == ["undecided_street"]
    assert asks(role_word=ANSWER, street=ANSWER) == []


def test_an_unknown_market_is_refused():
    with pytest.raises(LabelRuleError):
        required_items("moon", DAY)


@pytest.mark.parametrize("table", sorted(path.stem for path in TABLES.glob("*.csv")))
def test_every_row_is_whole_and_names_its_source(table):
    with (TABLES / f"{table}.csv").open(encoding="utf-8", newline="") as lines:
        for row in csv.DictReader(lines):
            assert None not in row
            assert None not in row.values()
            assert row.get("source") or row.get("basis")


@pytest.mark.parametrize(
    ("table", "above", "up_to"),
    (
        ("type_height_us", "sq_in_above", "sq_in_to"),
        ("type_height_eu", "nominal_g_above", "nominal_g_to"),
        ("type_height_ca", "cm2_above", "cm2_to"),
        ("mav_us", "lb_above", "lb_to"),
        ("mav_us", "g_above", "g_to"),
        ("mav_us", "oz_above", "oz_to"),
        ("tne_eu", "nominal_g_from", "nominal_g_to"),
    ),
)
def test_steps_leave_no_gap(table, above, up_to):
    rows = rows_of(table)
    assert [row[up_to] for row in rows[:-1]] == [row[above] for row in rows[1:]]


def test_a_size_outside_every_step_is_refused():
    with pytest.raises(LabelRuleError):
        row_for_size(rows_of("type_height_eu"), Decimal(-1), above="nominal_g_above", up_to="nominal_g_to")
