"""Needs by day against the shelf. All cases are worked by hand; first to expire goes first (ISO 22716, 6.6.7)."""

from datetime import date
from decimal import Decimal

import pytest

from production.stock.shortages import Need, Shortage, Supply, shortages

OLIVE, PALM = 1, 2
MAY_12, MAY_20, JUNE_1 = date(2026, 5, 12), date(2026, 5, 20), date(2026, 6, 1)


def need(amount: str, on: date, batch: str, key: int = OLIVE) -> Need:
    return Need(key, Decimal(amount), on, batch)


def supply(amount: str, good_until: date | None = None, key: int = OLIVE) -> Supply:
    return Supply(key, Decimal(amount), good_until)


def test_what_suffices_is_not_short():
    assert shortages((supply("1000"),), (need("600", MAY_12, "B1"), need("400", MAY_20, "B2"))) == {}


def test_the_first_pour_that_is_stopped_is_named_and_the_rest_added():
    found = shortages(
        (supply("1000"),), (need("500", JUNE_1, "B3"), need("600", MAY_12, "B1"), need("700", MAY_20, "B2"))
    )
    # 1000 - 600 leaves 400 of the 700 wanted on May 20: 300 missing; then all 500 of June 1.
    assert found == {OLIVE: Shortage(OLIVE, Decimal(800), MAY_20, "B2", ("B2", "B3"))}


def test_a_lot_that_expires_before_the_pour_does_not_count():
    needs = (need("500", MAY_20, "B1"),)
    assert shortages((supply("500", MAY_12),), needs)[OLIVE].amount == 500
    assert shortages((supply("500", MAY_20),), needs) == {}, "good up to and including its last day"


def test_what_expires_first_is_used_first_so_that_the_later_pour_still_has_some():
    lots = (supply("500"), supply("500", MAY_12))
    assert shortages(lots, (need("500", MAY_12, "B1"), need("500", JUNE_1, "B2"))) == {}


def test_materials_are_counted_apart():
    found = shortages((supply("900"),), (need("500", MAY_12, "B1"), need("500", MAY_12, "B1", PALM)))
    assert set(found) == {PALM}


def test_two_lines_of_one_batch_name_it_once():
    found = shortages((), (need("30", MAY_12, "B1"), need("20", MAY_12, "B1")))
    assert found[OLIVE] == Shortage(OLIVE, Decimal(50), MAY_12, "B1", ("B1",))


@pytest.mark.parametrize(("lead_days", "order_by"), ((9, date(2026, 5, 11)), (0, MAY_20), (None, None)))
def test_the_last_day_to_order_counts_back_from_the_pour(lead_days, order_by):
    assert Shortage(OLIVE, Decimal(1), MAY_20, "B1", ("B1",)).order_by(lead_days) == order_by
