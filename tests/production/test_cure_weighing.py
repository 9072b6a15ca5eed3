"""Weigh-ins: what cannot be true is questioned before it is used."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from production.batches.actions.after_pour import hold_batch
from production.batches.models import Batch
from production.cure.actions.weighing import weigh_bars
from production.cure.models import CureWeighing
from production.cure.records import curing_batches, for_rack, marked_bars
from production.cure.refusal import CureRefusal
from soapshop.models import AuditEvent
from tests.production.cure_builders import CUT_DAY, POUR_DAY, make_cut, make_design, make_order

LATER = CUT_DAY + timedelta(days=14)


@pytest.fixture
def batch(owner, workshop):
    order = make_order(make_design(owner), 10, needed_by=date(2026, 5, 20), by=owner)
    return make_cut(order, by=owner)


def weigh(batch, by, weights, on=LATER, today=LATER, reason=""):
    given = {mark: Decimal(grams) for mark, grams in weights.items()}
    return weigh_bars(batch_id=batch.pk, weights=given, on=on, today=today, by=by, reason=reason)


def written(batch):
    rows = batch.cure_weighings.order_by("bar_mark", "on")
    return [(row.bar_mark, row.on, row.grams, row.is_set_aside) for row in rows]


def test_several_marked_bars_are_written_at_once(batch, maker):
    weigh(batch, maker, {"1": "130", "2": "132.5"}, on=CUT_DAY)
    assert written(batch) == [("1", CUT_DAY, Decimal(130), False), ("2", CUT_DAY, Decimal("132.5"), False)]


def test_the_same_weights_sent_twice_have_one_effect(batch, maker):
    weigh(batch, maker, {"1": "130"}, on=CUT_DAY)
    events = AuditEvent.objects.count()
    assert weigh(batch, maker, {"1": "130.000"}, on=CUT_DAY) == []
    assert (CureWeighing.objects.count(), AuditEvent.objects.count()) == (1, events)


@pytest.mark.parametrize(
    ("weights", "on", "today", "start"),
    (
        pytest.param({}, LATER, LATER, "No weight was typed.", id="nothing"),
        pytest.param({"1": "0"}, LATER, LATER, "Bar 1 cannot weigh 0 g.", id="zero"),
        pytest.param({"1": "-4"}, LATER, LATER, "Bar 1 cannot weigh −4 g.", id="below zero"),
        pytest.param({"1": "99999"}, LATER, LATER, "Bar 1 cannot weigh 99,999 g.", id="absurd"),
        pytest.param({"1": "120"}, LATER + timedelta(days=1), LATER, "That day is still to come.", id="future"),
        pytest.param({"1": "120"}, POUR_DAY, LATER, "That day lies before the cut.", id="before the cut"),
        pytest.param({"": "120"}, LATER, LATER, "Give each bar a mark", id="no mark"),
        pytest.param({"ELEVEN-SIGN": "120"}, LATER, LATER, "Give each bar a mark", id="long mark"),
    ),
)
def test_what_is_no_weighing_is_refused_whatever_the_reason(batch, maker, weights, on, today, start):
    with pytest.raises(CureRefusal) as refusal:
        weigh(batch, maker, weights, on=on, today=today, reason="it is so")
    assert str(refusal.value).startswith(start)
    assert written(batch) == []


@pytest.mark.parametrize(
    ("grams", "start"),
    (
        pytest.param("133", "Bar 1 weighs 133 g, more than the 130 g at the cut.", id="heavier than the cut bar"),
        pytest.param("95", "Bar 1 lost 26.9 %, more than its water and scent", id="35 / 130 lost, worked by hand"),
    ),
)
def test_a_weight_that_cannot_be_is_questioned_then_kept_set_aside(batch, maker, grams, start):
    weigh(batch, maker, {"1": "130"}, on=CUT_DAY)
    with pytest.raises(CureRefusal) as refusal:
        weigh(batch, maker, {"1": grams})
    assert str(refusal.value).startswith(start)
    weigh(batch, maker, {"1": grams}, reason="scale stood in the damp")
    row = batch.cure_weighings.get(on=LATER)
    assert (row.grams, row.is_set_aside, row.note) == (Decimal(grams), True, "scale stood in the damp")
    assert [len(bar.weighings) for bar in marked_bars(batch.cure_weighings.all())] == [1]


def test_an_ordinary_loss_is_not_questioned(batch, maker):
    weigh(batch, maker, {"1": "130"}, on=CUT_DAY)
    weigh(batch, maker, {"1": "121.4"})
    assert written(batch)[1] == ("1", LATER, Decimal("121.4"), False)


def test_a_bar_of_another_size_is_asked_about_and_then_used(batch, maker):
    """The mean fresh bar weighed 130 g; 25 % to either side is allowed (own reckoning)."""
    with pytest.raises(CureRefusal) as refusal:
        weigh(batch, maker, {"9": "165"}, on=CUT_DAY)
    assert str(refusal.value).startswith(
        "Bar 9 weighs 165 g; a fresh bar of this batch weighed 130 g. Is it a bar of this batch?"
    )
    weigh(batch, maker, {"9": "165"}, on=CUT_DAY, reason="end piece")
    assert written(batch) == [("9", CUT_DAY, Decimal(165), False)]


def test_a_second_weight_on_one_day_replaces_the_first_with_a_reason(batch, maker):
    weigh(batch, maker, {"1": "130"}, on=CUT_DAY)
    with pytest.raises(CureRefusal) as refusal:
        weigh(batch, maker, {"1": "131"}, on=CUT_DAY)
    assert str(refusal.value) == (
        "Bar 1 was weighed that day already (130 g). To put that right, say in a few words what was wrong."
    )
    weigh(batch, maker, {"1": "131"}, on=CUT_DAY, reason="read bar 2")
    assert written(batch) == [("1", CUT_DAY, Decimal(131), False)]
    assert batch.cure_weighings.get().note == "was 130 g: read bar 2"
    assert AuditEvent.objects.filter(verb="weigh_bars").first().before == {
        "1": "130.000"
    }  # three places, as masses are stored


def test_a_batch_on_hold_is_still_weighed_but_one_not_cut_is_not(batch, maker, owner):
    hold_batch(batch_id=batch.pk, reason="looks odd", by=owner)
    weigh(batch, maker, {"1": "130"}, on=CUT_DAY)
    assert len(written(batch)) == 1
    Batch.objects.filter(pk=batch.pk).update(status="poured")
    with pytest.raises(CureRefusal):
        weigh(batch, maker, {"1": "120"})


def test_the_water_of_the_bar_follows_what_the_scale_said(batch, owner):
    """1 part water in 20 more than planned raises the share: p·(1.05)/(1 + 0.05 p), worked by hand."""
    plan = Decimal(batch.frozen["water_percent_of_batch"])
    line = batch.weighings.get(material__key="water")
    share = line.planned_grams / sum(each.planned_grams for each in batch.weighings.all())
    line.actual_grams = line.planned_grams * Decimal("1.05")
    line.save(update_fields=["actual_grams"])
    curing = curing_batches(list(for_rack(Batch.objects.filter(pk=batch.pk))), today=LATER)[0]
    expected = plan * Decimal("1.05") / (1 + share * Decimal("0.05"))
    assert round(curing.water.water_percent, 3) == round(expected, 3)
    assert curing.water.scent_percent == 0
