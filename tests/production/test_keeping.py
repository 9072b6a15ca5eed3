"""How near bars are to the day they are best before: said on the rack and on the page of the day."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from production.batches.models import Batch
from production.cure.keeping import NEAR, PAST, KeepingFacts, best_before, keeping_word, warning_day
from production.cure.models import Release
from tests.production.cure_builders import make_cut, make_design, make_order, make_released

POURED = date(2026, 1, 31)


@pytest.mark.parametrize(
    ("best", "superfat", "expected"),
    (
        # Two months before the day, counted as 60 days; three months from the pour for rich bars. Worked by hand.
        pytest.param(date(2028, 1, 31), "5", date(2027, 12, 2), id="plain"),
        pytest.param(date(2028, 1, 31), "10", date(2027, 12, 2), id="10 percent is not more than 10 percent"),
        pytest.param(date(2026, 7, 31), "20", date(2026, 4, 30), id="C96: 20 percent, warned at three months"),
        pytest.param(None, "20", date(2026, 4, 30), id="C96: without a best-before day"),
        pytest.param(None, "5", None, id="nothing to warn of"),
        pytest.param(None, None, None, id="nothing known"),
    ),
)
def test_the_day_of_the_early_warning(best, superfat, expected):
    known = None if superfat is None else Decimal(superfat)
    assert warning_day(poured_on=POURED, best_before=best, superfat_percent=known) == expected


def test_c96_rich_bars_are_warned_of_before_the_first_half_of_the_pot_was_off():
    """20 % superfat, one half off at four months: the day lies at six months, the first look at three (case C96)."""
    rich = best_before(KeepingFacts(poured_on=POURED, superfat_percent=Decimal(20)))
    four_months = date(2026, 5, 31)
    assert rich.best_before == date(2026, 7, 31)
    assert (
        warning_day(poured_on=POURED, best_before=rich.best_before, superfat_percent=Decimal(20)) or four_months
    ) < (four_months)


@pytest.mark.parametrize(
    ("today", "word"),
    (
        (date(2027, 12, 1), ""),
        (date(2027, 12, 2), NEAR),
        (date(2028, 1, 31), NEAR),
        (date(2028, 2, 1), PAST),
    ),
)
def test_the_word_changes_on_the_day(today, word):
    said = keeping_word(poured_on=POURED, best_before=date(2028, 1, 31), superfat_percent=Decimal(5), today=today)
    assert said == word


@pytest.fixture
def released(owner, workshop):
    """Released today with twelve bars, best before a day that is 59 days off."""
    today = timezone.localdate()
    order = make_order(make_design(owner), 8, needed_by=today + timedelta(days=20), by=owner)
    batch = make_cut(order, by=owner, poured_on=today - timedelta(days=42))
    return make_released(batch, by=owner, best_before=today + timedelta(days=59))


def test_the_rack_and_the_day_warn_of_it(owner_client, released):
    rack = owner_client.get("/cure/").content.decode()
    assert "1 released batch near the best-before day." in rack
    assert "Sell soon" in rack
    assert "Sell soon" in owner_client.get("/").content.decode()


def test_no_warning_while_there_is_time(owner_client, released):
    Release.objects.update(best_before=timezone.localdate() + timedelta(days=61))
    assert "Sell soon" not in owner_client.get("/cure/").content.decode()


def test_the_rack_is_read_once_until_something_is_written(owner_client, owner, released, django_assert_num_queries):
    owner_client.get("/cure/")
    with django_assert_num_queries(4):  # workshop, session, person, and whether anything was written
        owner_client.get("/cure/")
    order = make_order(released.design, 3, needed_by=timezone.localdate() + timedelta(days=9), by=owner, customer="Ib")
    second = make_cut(order, by=owner, poured_on=timezone.localdate() - timedelta(days=9))
    assert second.number in owner_client.get("/cure/").content.decode()
    assert Batch.objects.count() == 2
