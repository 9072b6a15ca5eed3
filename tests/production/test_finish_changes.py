"""A bar that was cut plain gets a part from the shelf: it changes its finish and no bar is made or lost."""

from datetime import date, timedelta

import pytest

from formulas.models import Part
from production.bar_ledger import BarState
from production.batches.records import plan_of
from production.cure.actions.finishing import change_finish
from production.cure.models import BarMove
from production.cure.refusal import CureRefusal
from production.stock.actions import make_part_lot
from production.stock.models import PartLot
from tests.production.cure_builders import CUT_DAY, READY_DAY, make_cut, make_design, make_order, make_released, places


@pytest.fixture
def design(owner, workshop):
    return make_design(owner)


@pytest.fixture
def batch(design, owner):
    order = make_order(design, 8, needed_by=date(2026, 5, 20), by=owner, parts={"seal": 4})
    return make_cut(order, by=owner, bars={"seal": 4, "plain": 7})


@pytest.fixture
def shells(design, owner):
    shell = Part.objects.get(key="shell")
    return make_part_lot(part=shell, pieces=5, made_on=CUT_DAY - timedelta(days=2), use_by=None, by=owner)


def change(batch, by, **asked):
    usual = {
        "finish": "plain",
        "from_state": BarState.IN_CURE,
        "to_finish": "shell",
        "bars": 3,
        "on": CUT_DAY,
        "part_lots": {"shell": PartLot.objects.get().pk} if PartLot.objects.exists() else {},
    }
    return change_finish(batch_id=batch.pk, by=by, **(usual | asked))


def test_a_plain_bar_gets_a_topper_from_the_shelf(batch, shells, maker):
    change(batch, maker)
    assert places(batch) == {
        "plain": {"in_cure": 4, "spoiled": 1},
        "seal": {"in_cure": 4},
        "shell": {"in_cure": 3},
    }
    assert PartLot.objects.get().pieces_left == 2
    batch.refresh_from_db()
    plan = plan_of(batch)
    assert [(finish.key, finish.label) for finish in plan.finishes if finish.key == "shell"] == [("shell", "Shell")]
    assert [part.key for part in plan.parts] == ["seal", "shell"]


def test_a_sealed_bar_gets_a_topper_beside_its_seal(batch, shells, maker):
    change(batch, maker, finish="seal", to_finish="shell+seal", bars=2)
    assert places(batch)["seal+shell"] == {"in_cure": 2}
    assert places(batch)["seal"] == {"in_cure": 2}


def test_released_bars_stay_released(batch, shells, owner):
    make_released(batch, by=owner)
    change(batch, owner, from_state=BarState.RELEASED, on=READY_DAY)
    assert places(batch) == {
        "plain": {"released": 4, "spoiled": 1},
        "seal": {"released": 4},
        "shell": {"released": 3},
    }


def test_a_part_that_falls_off_takes_words_and_is_not_put_back(batch, maker):
    with pytest.raises(CureRefusal) as refusal:
        change(batch, maker, finish="seal", to_finish="plain", bars=1)
    assert str(refusal.value) == "Say in a few words why a part comes off."
    change(batch, maker, finish="seal", to_finish="plain", bars=1, reason="the seal broke")
    assert places(batch) == {"plain": {"in_cure": 8, "spoiled": 1}, "seal": {"in_cure": 3}}


@pytest.mark.parametrize(
    ("asked", "words"),
    (
        ({"bars": 8}, "7 of these bars are there. Enter from 1 to 7."),
        ({"bars": 6}, "holds 5 pieces. Take at most that many, and at least one."),
        ({"bars": 0}, "Enter from 1 to 7."),
        ({"to_finish": "plain"}, "These bars have that finish already. Choose another one."),
        ({"to_finish": "star"}, "Dune carries no part “star”. Add it to the design first."),
        ({"part_lots": {}}, "Name the lot that Shell is taken from."),
        ({"from_state": BarState.RESERVED}, "Give bars back from their order first."),
        ({"from_state": BarState.RELEASED}, "None are there."),
    ),
)
def test_what_cannot_be_is_refused_and_changes_nothing(batch, shells, maker, asked, words):
    before = places(batch)
    with pytest.raises(CureRefusal) as refusal:
        change(batch, maker, **asked)
    assert words in str(refusal.value)
    assert (places(batch), PartLot.objects.get().pieces_left) == (before, 5)


def test_a_poured_in_part_is_never_set_on_a_cut_bar(batch, shells, maker):
    Part.objects.filter(key="shell").update(attached_at="pour")
    moves = BarMove.objects.count()
    with pytest.raises(CureRefusal) as refusal:
        change(batch, maker)
    assert str(refusal.value) == "Shell goes in at the pour; it cannot be set on a bar that is cut."
    assert BarMove.objects.count() == moves


@pytest.mark.parametrize(
    ("days", "sentence"),
    (
        (-1, "Shell goes on after the cut on"),
        (3, "Shell had to go on by"),
    ),
)
def test_a_part_goes_on_only_while_both_faces_are_fresh(batch, shells, maker, days, sentence):
    """Two days after the cut is the last one here; common practice, no source, is a day or two."""
    Part.objects.filter(key="shell").update(attach_window_days=2)
    with pytest.raises(CureRefusal) as refusal:
        change(batch, maker, on=CUT_DAY + timedelta(days=days))
    assert str(refusal.value).startswith(sentence)
    assert PartLot.objects.get().pieces_left == 5
    change(batch, maker, on=CUT_DAY + timedelta(days=2))
    assert PartLot.objects.get().pieces_left == 2


def test_a_part_for_cured_bars_has_no_window_but_a_use_by_day(batch, shells, maker):
    Part.objects.filter(key="shell").update(attach_window_days=2, attached_at="cured")
    PartLot.objects.update(use_by=CUT_DAY + timedelta(days=30))
    with pytest.raises(CureRefusal, match="was to be used by"):
        change(batch, maker, on=CUT_DAY + timedelta(days=31))
    change(batch, maker, on=CUT_DAY + timedelta(days=30))
    assert PartLot.objects.get().pieces_left == 2
