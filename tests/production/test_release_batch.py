"""Ready by facts, released by an owner: every missing fact refuses, and the full set lets it pass."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from production.batch_states import BatchState
from production.batches.actions.after_pour import clear_hold, decide_deviation, hold_batch
from production.batches.actions.bench import note_deviation
from production.batches.models import Batch
from production.cure.actions.checks import CheckReading, enter_check
from production.cure.actions.review import reject_batch, release_batch, update_ready
from production.cure.actions.weighing import weigh_bars
from production.cure.models import Release
from production.cure.refusal import CureRefusal
from tests.production.cure_builders import (
    CUT_DAY,
    POUR_DAY,
    READY_DAY,
    check_clear,
    make_cut,
    make_design,
    make_order,
    make_ready,
    make_released,
    places,
    weigh_steady,
)


@pytest.fixture
def batch(owner, workshop):
    order = make_order(make_design(owner), 10, needed_by=date(2026, 5, 20), by=owner)
    return make_cut(order, by=owner)


def release(batch, by, today=READY_DAY, **more):
    return release_batch(batch_id=batch.pk, words="Steady, clear and hard.", today=today, by=by, **more)


def state(batch):
    return Batch.objects.get(pk=batch.pk).state


def refused(batch, by, today=READY_DAY, **more):
    before = (state(batch), places(batch), Release.objects.count())
    with pytest.raises(CureRefusal) as refusal:
        release(batch, by, today, **more)
    assert (state(batch), places(batch), Release.objects.count()) == before
    return str(refusal.value)


def test_days_weights_and_checks_bring_it_to_review_and_an_owner_releases_it(batch, owner):
    weigh_steady(batch, by=owner)
    assert state(batch) == BatchState.CURING
    check_clear(batch, on=READY_DAY, by=owner)
    assert state(batch) == BatchState.READY_FOR_REVIEW
    assert Batch.objects.get(pk=batch.pk).ready_seen_on == READY_DAY
    assert places(batch) == {"plain": {"in_cure": 11, "spoiled": 1}}
    decision = release(batch, owner, best_before=date(2027, 9, 2))
    assert state(batch) == BatchState.RELEASED
    assert places(batch) == {"plain": {"released": 11, "spoiled": 1}}
    assert (decision.words, decision.best_from, decision.best_before) == (
        "Steady, clear and hard.",
        None,
        date(2027, 9, 2),
    )


def test_looking_is_enough_when_only_the_day_was_missing(batch, owner):
    for days, grams in ((0, "130"), (33, "117.0"), (40, "116.6")):
        on = CUT_DAY + timedelta(days=days)
        weigh_bars(batch_id=batch.pk, weights={"1": Decimal(grams)}, on=on, today=on, by=owner)
    check_clear(batch, on=READY_DAY - timedelta(days=1), by=owner)
    assert update_ready(today=READY_DAY - timedelta(days=1), by=owner) == []
    assert [each.number for each in update_ready(today=READY_DAY, by=owner)] == [batch.number]
    assert update_ready(today=READY_DAY, by=owner) == []


def test_no_check(batch, owner):
    weigh_steady(batch, by=owner)
    assert refused(batch, owner) == (
        f"{batch} cannot be released. No check is entered. Enter how the bars look, a pH or a titration."
    )


def test_a_tongue_touch_alone_is_no_check(batch, owner):
    weigh_steady(batch, by=owner)
    enter_check(batch_id=batch.pk, reading=CheckReading(method="zap"), on=READY_DAY, today=READY_DAY, by=owner)
    assert "A tongue touch is a note, not a check." in refused(batch, owner)


def test_never_weighed(batch, owner):
    check_clear(batch, on=READY_DAY, by=owner)
    assert refused(batch, owner).startswith(f"{batch} is not through its cure. No bar has been weighed yet.")


def test_an_open_deviation_until_it_is_decided(batch, owner):
    make_ready(batch, by=owner)
    deviation = note_deviation(batch=batch, by=owner, what="the scale was off by 4 g")
    assert refused(batch, owner) == (
        f"{batch} cannot be released. A deviation is still open: the scale was off by 4 g. Close it with a decision."
    )
    decide_deviation(deviation_id=deviation.pk, decision="accept", words="within what the fats allow", by=owner)
    release(batch, owner)
    assert state(batch) == BatchState.RELEASED


def test_no_superfat_without_a_titration_and_with_a_clear_one(batch, owner):
    """At or below 0 % only a titration tells (good practice of the trade, no published limit)."""
    Batch.objects.filter(pk=batch.pk).update(superfat_actual_percent=Decimal("-0.4"))
    weigh_steady(batch, by=owner)
    enter_check(batch_id=batch.pk, reading=CheckReading(method="looks"), on=READY_DAY, today=READY_DAY, by=owner)
    assert state(batch) == BatchState.CURING
    assert "Hold the batch until a titration shows no free alkali." in refused(batch, owner)
    check_clear(batch, on=READY_DAY, by=owner)
    release(batch, owner)
    assert state(batch) == BatchState.RELEASED


@pytest.mark.parametrize(
    ("acid_ml", "figure", "verdict", "is_released"),
    (
        # mL × 0.1 mol/L × 4.00 / 10 g (ISO 456 ethanol method); limit 0.05 % NaOH of IS 2888:2004.
        pytest.param("0.85", "0.0340", "clear", True, id="0.034 %"),
        pytest.param("1.25", "0.0500", "clear", True, id="0.050 %, at the limit"),
        pytest.param("1.26", "0.0504", "again", False, id="just above"),
        pytest.param("2.50", "0.1000", "again", False, id="0.100 %"),
        pytest.param("2.60", "0.1040", "failed", False, id="rejected"),
    ),
)
def test_a_titration_is_computed_and_held_against_its_limit(batch, owner, acid_ml, figure, verdict, is_released):
    weigh_steady(batch, by=owner)
    reading = CheckReading(
        method="titration", acid_ml=Decimal(acid_ml), acid_mol_per_l=Decimal("0.1"), soap_grams=Decimal(10)
    )
    check = enter_check(batch_id=batch.pk, reading=reading, on=READY_DAY, today=READY_DAY, by=owner)
    assert (str(check.figure), check.verdict) == (figure, verdict)
    if is_released:
        release(batch, owner)
    else:
        assert "above 0.05 %" in refused(batch, owner)


@pytest.mark.parametrize(
    ("ph", "is_checked", "verdict"),
    (("9.6", True, "clear"), ("10.8", True, "again"), ("11.5", True, "failed"), ("9.6", False, "again")),
)
def test_a_ph_is_a_hint_with_a_verdict(batch, owner, ph, is_checked, verdict):
    reading = CheckReading(method="ph", ph=Decimal(ph), is_meter_checked=is_checked)
    check = enter_check(batch_id=batch.pk, reading=reading, on=READY_DAY, today=READY_DAY, by=owner)
    assert check.verdict == verdict


@pytest.mark.parametrize(
    "reading",
    (
        CheckReading(method="titration", acid_ml=Decimal(1)),
        CheckReading(method="titration", acid_ml=Decimal(1), acid_mol_per_l=Decimal(10), soap_grams=Decimal(10)),
        CheckReading(method="titration", acid_ml=Decimal(-1), acid_mol_per_l=Decimal("0.1"), soap_grams=Decimal(10)),
        CheckReading(method="ph"),
        CheckReading(method="ph", ph=Decimal(15)),
        CheckReading(method="looks", is_normal=False),
        CheckReading(method="weather"),
    ),
    ids=lambda reading: f"{reading.method} {reading.acid_ml or reading.ph or ''}",
)
def test_readings_that_cannot_be_are_refused(batch, owner, reading):
    with pytest.raises(CureRefusal):
        enter_check(batch_id=batch.pk, reading=reading, on=READY_DAY, today=READY_DAY, by=owner)
    assert batch.checks.count() == 0


def test_bad_looks_open_a_deviation_and_a_better_look_does_not_close_it(batch, owner):
    weigh_steady(batch, by=owner)
    bad = CheckReading(method="looks", is_normal=False, note="white pockets in bar 4")
    enter_check(batch_id=batch.pk, reading=bad, on=READY_DAY, today=READY_DAY, by=owner)
    assert [deviation.what for deviation in batch.deviations.all()] == ["Looks and hardness: white pockets in bar 4"]
    check_clear(batch, on=READY_DAY, by=owner)
    assert "A deviation is still open" in refused(batch, owner)


def test_the_same_test_sent_twice_is_entered_once(batch, owner):
    check_clear(batch, on=READY_DAY, by=owner)
    check_clear(batch, on=READY_DAY, by=owner)
    assert batch.checks.count() == 2


def test_only_an_owner_with_a_sentence(batch, owner, maker):
    make_ready(batch, by=owner)
    assert refused(batch, maker) == "Only an owner may release a batch. Ask the owner to look at it."
    with pytest.raises(CureRefusal):
        release_batch(batch_id=batch.pk, words="  ", today=READY_DAY, by=owner)
    assert refused(batch, owner, best_before=READY_DAY).startswith("The best-before day has gone by.")
    release(batch, owner)
    assert refused(batch, owner) == f"{batch} is released already."


def test_without_an_alkali_test_the_record_says_so(batch, owner):
    weigh_steady(batch, by=owner)
    enter_check(batch_id=batch.pk, reading=CheckReading(method="looks"), on=READY_DAY, today=READY_DAY, by=owner)
    assert release(batch, owner).words == "Steady, clear and hard. No alkali test was made."


def test_an_old_weighing_does_not_undo_what_was_seen_as_ready(batch, owner):
    make_ready(batch, by=owner)
    release(batch, owner, today=READY_DAY + timedelta(days=20))
    assert state(batch) == BatchState.RELEASED


def test_early_release_takes_a_reason_and_prints_from_when_it_is_best(batch, owner):
    day = POUR_DAY + timedelta(days=35)
    for days, grams in ((0, "130"), (27, "118.0"), (34, "116.5")):
        on = CUT_DAY + timedelta(days=days)
        weigh_bars(batch_id=batch.pk, weights={"1": Decimal(grams)}, on=on, today=on, by=owner)
    check_clear(batch, on=day, by=owner)
    assert refused(batch, owner, today=day) == (
        f"{batch} is not through its cure. Day 35 of 42: 7 days to go. Wait until April 13, 2026. "
        "To release it early, say why; the papers tell."
    )
    decision = release(batch, owner, today=day, early_reason="the wedding is on Saturday")
    assert decision.best_from == READY_DAY
    assert decision.words == "Steady, clear and hard. Before the cure was over: the wedding is on Saturday."
    assert places(batch) == {"plain": {"released": 11, "spoiled": 1}}


def test_before_the_least_cure_no_reason_helps(batch, owner):
    day = POUR_DAY + timedelta(days=27)
    check_clear(batch, on=day, by=owner)
    words = refused(batch, owner, today=day, early_reason="the wedding is on Saturday")
    assert words.endswith("Not even early: the least cure is 28 days.")


def test_an_early_reason_never_covers_a_missing_check(batch, owner):
    day = POUR_DAY + timedelta(days=35)
    assert "No check is entered." in refused(batch, owner, today=day, early_reason="the wedding is on Saturday")


def test_a_hold_stops_the_bars_and_lifting_it_brings_them_back_to_the_rack(batch, owner, maker):
    make_released(batch, by=owner)
    hold_batch(batch_id=batch.pk, reason="a customer found spots", by=maker)
    assert (state(batch), places(batch)) == (BatchState.HELD, {"plain": {"held": 11, "spoiled": 1}})
    assert refused(batch, owner) == "A batch that is on hold cannot become released. It must be ready for review first."
    clear_hold(batch_id=batch.pk, words="it was soda ash", by=owner)
    assert (state(batch), places(batch)) == (BatchState.READY_FOR_REVIEW, {"plain": {"in_cure": 11, "spoiled": 1}})
    release(batch, owner)
    assert places(batch) == {"plain": {"released": 11, "spoiled": 1}}


def test_a_rejected_batch_is_written_off(batch, owner, maker):
    with pytest.raises(CureRefusal):
        reject_batch(batch_id=batch.pk, words="smells rancid", by=owner)  # it must be held or in review first
    hold_batch(batch_id=batch.pk, reason="smells", by=owner)
    with pytest.raises(CureRefusal):
        reject_batch(batch_id=batch.pk, words="smells rancid", by=maker)
    reject_batch(batch_id=batch.pk, words="smells rancid", by=owner)
    assert (state(batch), places(batch)) == (BatchState.REJECTED, {"plain": {"spoiled": 12}})
    assert Release.objects.first().decision == "rejected"
