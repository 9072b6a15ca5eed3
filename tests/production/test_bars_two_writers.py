"""Several people take the same bars, or the same tub, at the same moment, as real processes: what is there is given."""

from datetime import timedelta
from decimal import Decimal

import pytest

from formulas.models import Material
from production.stock.actions import receive_lot
from tests.conftest import TODAY
from tests.production.cure_builders import READY_DAY, make_cut, make_design, make_order, make_released
from tests.production.test_two_writers import owner, processes

__all__ = ["owner", "processes"]
pytestmark = pytest.mark.django_db(transaction=True)


def released_bars(by, *, bars: int, orders: int, each: int):
    """Return one released batch of plain bars, and orders for them that are due one day after the other."""
    design = make_design(by)
    wanted = [
        make_order(design, each, needed_by=READY_DAY + timedelta(days=20 + turn), by=by, customer=f"Buyer {turn}")
        for turn in range(orders)
    ]
    return make_released(make_cut(wanted[0], by=by, bars={"plain": bars}, spoiled=0), by=by), wanted


def test_four_orders_at_once_get_exactly_the_bars_there_are(processes, owner):
    """Worked by hand: 11 bars for orders of 4, 4, 4 and 4, due one after the other: 4, 4, 3 and none."""
    batch, orders = released_bars(owner, bars=11, orders=4, each=4)
    processes.share_rows()
    answers = processes.all_at_once(*({"do": "reserve", "order": order.pk, "by": owner.pk} for order in orders))
    assert [answer["reserved"] for answer in answers] == [4, 4, 3, 0]
    now, _ = processes.all_at_once({"do": "look_at_bars", "batch": batch.pk}, {"do": "look_at_bars", "batch": batch.pk})
    assert (now["made"], now["accounted"], now["reserved"], now.get("released", 0)) == (11, 11, 11, 0)


def test_one_order_asked_for_by_four_gets_its_bars_once(processes, owner):
    batch, (order,) = released_bars(owner, bars=11, orders=1, each=4)
    processes.share_rows()
    answers = processes.all_at_once({"do": "reserve", "order": order.pk, "by": owner.pk})
    assert sorted(answer["reserved"] for answer in answers) == [0, 0, 0, 4]
    now, _ = processes.all_at_once({"do": "look_at_bars", "batch": batch.pk}, {"do": "look_at_bars", "batch": batch.pk})
    assert (now["made"], now["accounted"], now["reserved"], now["released"]) == (11, 11, 4, 7)


def test_bars_that_several_take_off_the_shelf_are_taken_once(processes, owner):
    """Worked by hand: 11 bars three at a time are 9; the last two are too few for anybody."""
    batch, _ = released_bars(owner, bars=11, orders=1, each=4)
    processes.share_rows()
    answers = processes.all_at_once({"do": "give_away", "batch": batch.pk, "bars": 3, "by": owner.pk})
    assert sum(answer["taken"] for answer in answers) == 9
    now, _ = processes.all_at_once({"do": "look_at_bars", "batch": batch.pk}, {"do": "look_at_bars", "batch": batch.pk})
    assert (now["made"], now["accounted"], now["spoiled"], now["released"]) == (11, 11, 9, 2)


def test_a_tub_that_is_weighed_from_and_repacked_at_once_loses_nothing(processes, owner):
    """Worked by hand: 400 g in takes of 7 g are 57 takes and 1 g, whoever takes them."""
    olive = Material.objects.create(name="Olive oil", kind=Material.Kind.FAT)
    lot = receive_lot(material=olive, received_on=TODAY, grams=Decimal(400), by=owner)
    processes.share_rows()
    takers = ("draw", "repack", "draw", "repack")
    answers = processes.all_at_once(*({"do": job, "lot": lot.pk, "grams": "7", "by": owner.pk} for job in takers))
    assert sum(answer["drawn"] for answer in answers) == 57
    left = processes.one({"do": "look_at_lot", "lot": lot.pk})
    assert (Decimal(left["grams_left"]), Decimal(left["moves"])) == (1, 1)
