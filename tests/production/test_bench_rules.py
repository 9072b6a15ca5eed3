"""The rules of the bench: lots, bands, lye, stages, undo. Each guard has a case where it does not fire."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from formulas.weighing import superfat_actual_fraction
from production.batch_states import MOVES, BatchState
from production.batches.actions.after_pour import (
    clear_hold,
    cut_batch,
    decide_deviation,
    hold_batch,
    tick_step,
    untick_step,
)
from production.batches.actions.bench import (
    pour_batch,
    start_batch,
    undo_weighing,
    weigh_line,
)
from production.batches.actions.cancelling import cancel_batch
from production.batches.actions.off_ticket import add_unplanned, leave_out
from production.batches.actions.parts_of_lines import weigh_part
from production.batches.asked import BatchRefusal
from production.batches.models import Batch, Weighing
from production.batches.reads import batch_for_page, batch_page
from production.lot_states import LotState
from production.stock.actions import move_lot, receive_lot
from production.stock.models import Lot
from soapshop.models import AuditEvent
from tests.production.builders import (
    TODAY,
    cut_of,
    planned_batch,
    poured_batch,
    started_batch,
    weigh,
    weighed_batch,
)


def line_of(batch, key) -> Weighing:
    return batch.weighings.get(material__key=key)


def lot_of(lots, weighing) -> Lot:
    return Lot.objects.get(code=lots[weighing.material_id])


def test_rule_g01_only_a_released_lot_is_drawn_from(owner, workshop):
    batch, lots = started_batch(owner)
    line = line_of(batch, "olive")
    move_lot(lot_id=lot_of(lots, line).pk, to=LotState.HELD, reason="Smells off", by=owner)
    with pytest.raises(BatchRefusal):
        weigh(line, lots, owner)
    move_lot(lot_id=lot_of(lots, line).pk, to=LotState.RELEASED, by=owner)
    weigh(line, lots, owner)
    line.refresh_from_db()
    assert line.actual_grams == line.planned_grams


def test_rule_g01_a_lot_out_of_date_is_not_drawn_from(owner, workshop):
    batch, _ = started_batch(owner)
    line = line_of(batch, "olive")
    old, fresh = (
        receive_lot(material=line.material, received_on=date(2026, 1, 5), grams=Decimal(5000), by=owner, expires_on=day)
        for day in (TODAY - timedelta(days=1), TODAY)
    )
    told = {"weighing_id": line.pk, "grams": line.planned_grams, "on": TODAY, "by": owner}
    with pytest.raises(BatchRefusal):
        weigh_line(lot_code=old.code, **told)
    weigh_line(lot_code=fresh.code, **told)


def test_rule_g02_a_lot_never_gives_more_than_it_holds(owner, workshop):
    batch, _ = started_batch(owner)
    line = line_of(batch, "olive")
    lot = receive_lot(material=line.material, received_on=TODAY, grams=line.planned_grams - 1, by=owner)
    with pytest.raises(BatchRefusal):
        weigh_line(weighing_id=line.pk, lot_code=lot.code, grams=line.planned_grams, on=TODAY, by=owner)
    lot.refresh_from_db()
    assert lot.grams_left == line.planned_grams - 1


def test_rule_g04_nothing_is_poured_before_every_line_has_its_weight_lot_scale_and_person(owner, workshop):
    batch, lots = started_batch(owner)
    first, *rest = batch.weighings.all()
    for line in rest:
        weigh(line, lots, owner)
    with pytest.raises(BatchRefusal) as refusal:
        pour_batch(batch_id=batch.pk, on=TODAY, by=owner)
    assert str(refusal.value) == ("Not weighed yet: Water. Weigh every line first, or write down what was left out.")
    weigh(first, lots, owner)
    assert pour_batch(batch_id=batch.pk, on=TODAY, by=owner).state == BatchState.POURED
    for line in batch.weighings.all():
        assert None not in (line.actual_grams, line.lot_id, line.weighed_by_id)
        assert line.scale


def test_rule_g05_a_weight_outside_the_band_needs_words_and_becomes_a_deviation(owner, workshop):
    batch, lots = started_batch(owner)
    line = line_of(batch, "olive")
    with pytest.raises(BatchRefusal):
        weigh(line, lots, owner, grams=line.accept_high_grams + 1)
    assert not batch.deviations.exists()
    weigh(line, lots, owner, grams=line.accept_high_grams + 1, words="The tub slipped")
    assert [deviation.is_open for deviation in batch.deviations.all()] == [True]


@pytest.mark.parametrize("edge", ["accept_low_grams", "accept_high_grams"])
def test_rule_g05_the_edges_of_the_band_need_no_words(owner, workshop, edge):
    batch, lots = started_batch(owner)
    line = line_of(batch, "olive")
    weigh(line, lots, owner, grams=getattr(line, edge))
    assert not batch.deviations.exists()


def lye_for(batch: Batch, *, factor: str) -> Decimal:
    return (line_of(batch, "naoh").planned_grams * Decimal(factor)).quantize(Decimal("0.1"))


def weighed_with_lye(owner, factor: str):
    batch, lots = started_batch(owner)
    for line in batch.weighings.all():
        if line.material.key == "naoh":
            weigh(line, lots, owner, grams=lye_for(batch, factor=factor), words="Hand slipped")
        else:
            weigh(line, lots, owner)
    return Batch.objects.get(pk=batch.pk), lots


def test_rule_g07_a_lye_heavy_pot_is_never_poured_whatever_the_words(owner, workshop):
    """6 % superfat is used up at 1 / 0.94 = 1.0638 times the lye (worked by hand)."""
    batch, _ = weighed_with_lye(owner, "1.07")
    assert batch.superfat_actual_percent < 0
    with pytest.raises(BatchRefusal) as refusal:
        pour_batch(batch_id=batch.pk, on=TODAY, by=owner, reason="We want to")
    assert str(refusal.value).startswith("Stop: this pot has a superfat of ")
    batch.refresh_from_db()
    assert batch.state == BatchState.IN_PROCESS


def test_rule_g07_below_the_floor_needs_a_reason_which_becomes_a_deviation(owner, workshop):
    """1.05 times the lye leaves 1 - 0.94 × 1.05 = 1.3 % superfat, below the floor of 2 % (worked by hand)."""
    batch, _ = weighed_with_lye(owner, "1.05")
    assert abs(batch.superfat_actual_percent - Decimal("1.3")) < Decimal("0.05")
    with pytest.raises(BatchRefusal):
        pour_batch(batch_id=batch.pk, on=TODAY, by=owner)
    pour_batch(batch_id=batch.pk, on=TODAY, by=owner, reason="Titrate every bar")
    assert batch.deviations.count() == 2


def test_rule_g07_a_pot_as_planned_needs_no_reason(owner, workshop):
    batch, _ = weighed_batch(owner)
    batch.refresh_from_db()
    assert abs(batch.superfat_actual_percent - 6) < Decimal("0.05")
    pour_batch(batch_id=batch.pk, on=TODAY, by=owner)
    assert not batch.deviations.exists()


def test_rule_g07_the_purity_of_the_lot_counts(owner, workshop):
    """Planned at 99 % purity; a lot of 95 % leaves 1 - 0.94 × 95 / 99 = 9.80 % superfat (worked by hand)."""
    batch, _ = started_batch(owner)
    line = line_of(batch, "naoh")
    weak = receive_lot(
        material=line.material, received_on=TODAY, grams=Decimal(5000), by=owner, purity_percent=Decimal(95)
    )
    weigh_line(weighing_id=line.pk, lot_code=weak.code, grams=line.planned_grams, on=TODAY, by=owner)
    batch.refresh_from_db()
    assert abs(batch.superfat_actual_percent - Decimal("9.80")) < Decimal("0.05")


def test_rule_g07_the_rescue_brings_the_pot_back_to_the_plan(owner, workshop):
    batch, lots = weighed_with_lye(owner, "1.07")
    page = batch_page(batch_for_page(batch.number), today=TODAY)
    assert [name for name, _ in page.rescue] == ["Olive oil", "Coconut oil", "Palm oil"]
    by_name = {line.material.name: lots[line.material_id] for line in batch.weighings.all()}
    for name, grams in page.rescue:
        add_unplanned(
            batch_id=batch.pk,
            lot_code=by_name[name],
            grams=grams.quantize(Decimal("0.1")),
            on=TODAY,
            what_happened="To bring the superfat back",
            by=owner,
        )
    batch.refresh_from_db()
    assert abs(batch.superfat_actual_percent - 6) < Decimal("0.05")
    assert pour_batch(batch_id=batch.pk, on=TODAY, by=owner).state == BatchState.POURED


@pytest.mark.parametrize(
    ("errors", "expected"),
    (
        pytest.param({"lye_error_fraction": "0.005"}, "0.04525", id="1 - 0.95 × 1.005, worked by hand"),
        pytest.param({"lye_error_fraction": "0.01"}, "0.04050", id="1 - 0.95 × 1.01, worked by hand"),
        pytest.param({"lye_error_fraction": "0.05"}, "0.00250", id="1 - 0.95 × 1.05, worked by hand"),
        pytest.param({"lye_error_fraction": "0.0526"}, "0.00003", id="1 - 0.95 × 1.0526, worked by hand"),
        pytest.param({"purity_true_fraction": "0.97"}, "0.07850", id="1 - 0.95 × 0.97, worked by hand"),
        pytest.param({"fat_error_fraction": "-0.05"}, "0.00000", id="1 - 0.95 / 0.95, worked by hand"),
    ),
)
def test_rule_g08_what_an_error_leaves_of_five_percent_superfat(errors, expected):
    found = superfat_actual_fraction(Decimal("0.05"), **{name: Decimal(value) for name, value in errors.items()})
    assert found.quantize(Decimal("0.00001")) == Decimal(expected)


def test_rule_g28_a_person_alone_is_written_down_as_alone(owner, workshop):
    batch, _ = weighed_batch(owner)
    assert set(batch.weighings.values_list("checked_by", flat=True)) == {"alone"}


def test_the_same_weighing_sent_twice_draws_once(owner, workshop):
    batch, lots = started_batch(owner)
    line = line_of(batch, "olive")
    for _ in range(2):
        weigh(line, lots, owner)
    assert lot_of(lots, line).grams_left == Decimal(20000) - line.planned_grams


def test_another_weight_for_a_weighed_line_is_refused(owner, workshop):
    batch, lots = started_batch(owner)
    line = line_of(batch, "olive")
    weigh(line, lots, owner)
    with pytest.raises(BatchRefusal) as refusal:
        weigh(line, lots, owner, grams=line.planned_grams + 1)
    assert str(refusal.value).endswith("Undo that weighing first.")


def test_the_wrong_tub_is_refused_with_what_it_holds(owner, workshop):
    batch, lots = started_batch(owner)
    olive, coconut = line_of(batch, "olive"), line_of(batch, "coconut")
    with pytest.raises(BatchRefusal) as refusal:
        weigh_line(
            weighing_id=olive.pk, lot_code=lots[coconut.material_id], grams=olive.planned_grams, on=TODAY, by=owner
        )
    assert str(refusal.value).startswith(f"{lots[coconut.material_id]} holds Coconut oil, and this line is Olive oil.")


def test_undo_gives_the_grams_back_and_settles_its_deviation(owner, workshop):
    batch, lots = started_batch(owner)
    line = line_of(batch, "olive")
    weigh(line, lots, owner, grams=line.accept_high_grams + 5, words="Too much")
    undo_weighing(weighing_id=line.pk, reason="Scooped it back", by=owner)
    line.refresh_from_db()
    assert (line.actual_grams, line.lot_id) == (None, None)
    assert lot_of(lots, line).grams_left == 20000
    assert [each.decision_words for each in batch.deviations.all()] == ["The weighing was undone: Scooped it back"]
    assert AuditEvent.objects.filter(verb="undo_weighing").count() == 1


def test_undo_of_something_not_on_the_ticket_takes_its_line_away(owner, workshop):
    batch, lots = weighed_batch(owner)
    olive = line_of(batch, "olive")
    extra = add_unplanned(
        batch_id=batch.pk,
        lot_code=lots[olive.material_id],
        grams=Decimal(50),
        on=TODAY,
        what_happened="Spoon slipped",
        by=owner,
    )
    undo_weighing(weighing_id=extra.pk, reason="It was not in", by=owner)
    assert not batch.weighings.filter(phase="extra").exists()
    assert pour_batch(batch_id=batch.pk, on=TODAY, by=owner)


def test_one_line_from_two_lots_keeps_the_band_of_both_together(owner, workshop):
    batch, lots = started_batch(owner)
    line = line_of(batch, "olive")
    rest_of_tub = receive_lot(material=line.material, received_on=TODAY, grams=Decimal(100), by=owner)
    weigh_part(weighing_id=line.pk, lot_code=rest_of_tub.code, grams=Decimal(100), on=TODAY, by=owner)
    first, second = batch.weighings.filter(material=line.material)
    assert (first.actual_grams, second.actual_grams) == (100, None)
    assert first.planned_grams + second.planned_grams == line.planned_grams
    assert second.accept_high_grams == line.accept_high_grams - 100
    weigh(second, lots, owner)
    assert [each.position for each in batch.weighings.all()] == list(range(1, batch.weighings.count() + 1))
    assert not batch.deviations.exists()


def test_a_part_as_large_as_the_line_is_refused(owner, workshop):
    batch, lots = started_batch(owner)
    line = line_of(batch, "olive")
    with pytest.raises(BatchRefusal):
        weigh_part(weighing_id=line.pk, lot_code=lots[line.material_id], grams=line.planned_grams, on=TODAY, by=owner)


def test_a_pot_without_any_oil_cannot_be_poured(owner, workshop):
    batch, lots = started_batch(owner)
    for line in batch.weighings.all():
        if line.phase == "oils":
            leave_out(weighing_id=line.pk, what_happened="Nothing there", by=owner)
        else:
            weigh(line, lots, owner)
    with pytest.raises(BatchRefusal):
        pour_batch(batch_id=batch.pk, on=TODAY, by=owner, reason="Why not")


def test_steps_after_a_late_pour_move_with_it(owner, workshop):
    """Five days late: cut on the next day; the release stays as late as the order allows (August 4, by hand)."""
    batch, _ = weighed_batch(owner)
    pour_batch(batch_id=batch.pk, on=TODAY + timedelta(days=5), by=owner)
    due = {step.key: step.due_on for step in batch.steps.all()}
    assert (due["cut"], due["release"]) == (date(2026, 5, 18), date(2026, 8, 4))


def test_a_pour_too_late_for_the_order_is_followed_honestly(owner, workshop):
    """Poured July 1: cured August 12, past the needed-by day; labels 13, packed 14, handed over 15 (by hand)."""
    batch, _ = weighed_batch(owner)
    pour_batch(batch_id=batch.pk, on=date(2026, 7, 1), by=owner)
    due = {step.key: step.due_on for step in batch.steps.all()}
    assert (due["release"], due["hand_over"]) == (date(2026, 8, 12), date(2026, 8, 15))


def test_steps_that_rest_on_facts_are_not_ticked_by_hand(owner, workshop):
    batch = planned_batch(owner)
    for key in ("pour", "cut", "release", "hand_over"):
        step = batch.steps.get(key=key)
        with pytest.raises(BatchRefusal):
            tick_step(step_id=step.pk, on=TODAY, by=owner)
    gather = batch.steps.get(key="gather")
    for _ in range(2):
        assert tick_step(step_id=gather.pk, on=TODAY, by=owner).done_on == TODAY
    assert untick_step(step_id=gather.pk, by=owner).done_on is None


def test_a_cut_is_counted_within_what_can_be_true(owner, workshop):
    batch = poured_batch(owner)
    cut = {"batch_id": batch.pk, "by": owner, "spoiled": 0, "on": TODAY + timedelta(days=1)}
    for wrong in ({}, {"seal": -1}, {"seal": 5000}, {"gold": 3}):
        with pytest.raises(BatchRefusal):
            cut_batch(bars_by_finish=wrong, **cut)
    with pytest.raises(BatchRefusal):
        cut_batch(bars_by_finish={"seal": 10}, **cut | {"on": TODAY - timedelta(days=1)})
    cut_batch(bars_by_finish={"seal": 10, "plain": 2}, **cut)
    with pytest.raises(BatchRefusal):
        cut_batch(bars_by_finish={"seal": 10}, **cut)


def test_a_deviation_is_decided_once(owner, workshop):
    batch, _ = weighed_with_lye(owner, "1.02")
    deviation = batch.deviations.get()
    with pytest.raises(BatchRefusal):
        decide_deviation(deviation_id=deviation.pk, decision="accept", words=" ", by=owner)
    decide_deviation(deviation_id=deviation.pk, decision="accept", words="Within what the oils forgive", by=owner)
    with pytest.raises(BatchRefusal):
        decide_deviation(deviation_id=deviation.pk, decision="scrap", words="No", by=owner)


def test_only_an_owner_lifts_a_hold(owner, maker, workshop):
    batch, _ = started_batch(owner)
    hold_batch(batch_id=batch.pk, reason="Wrong tub?", by=maker)
    with pytest.raises(BatchRefusal):
        clear_hold(batch_id=batch.pk, words="Looked", by=maker)
    assert clear_hold(batch_id=batch.pk, words="Looked at the tubs", by=owner).state == BatchState.IN_PROCESS


ACTIONS = {
    BatchState.IN_PROCESS: lambda batch, by: start_batch(batch_id=batch.pk, by=by),
    BatchState.POURED: lambda batch, by: pour_batch(batch_id=batch.pk, on=TODAY, by=by),
    BatchState.CUT: lambda batch, by: cut_batch(
        batch_id=batch.pk, on=TODAY, bars_by_finish={"plain": 1}, spoiled=0, by=by
    ),
    BatchState.CANCELLED: lambda batch, by: cancel_batch(batch_id=batch.pk, reason="No", by=by),
    BatchState.HELD: lambda batch, by: hold_batch(batch_id=batch.pk, reason="Look", by=by),
}


NOT_DRAWN = [(current, target) for current in BatchState for target in ACTIONS if target not in MOVES[current]]


@pytest.mark.parametrize(("current", "target"), NOT_DRAWN)
def test_rule_g12_no_action_takes_a_way_that_is_not_drawn(owner, workshop, current, target):
    batch = planned_batch(owner)
    Batch.objects.filter(pk=batch.pk).update(status=current.value)
    with pytest.raises(BatchRefusal):
        ACTIONS[target](batch, owner)
    batch.refresh_from_db()
    assert batch.status == current.value


def test_a_whole_batch_lays_its_bars_on_the_rack(owner, workshop):
    batch = cut_of(owner, bars=10, parts={"seal": 10, "shell": 4})
    assert (batch.state, batch.bars_cut) == (BatchState.CURING, 12)
    assert {move.finish: move.bars for move in batch.bar_moves.all()} == {"seal+shell": 4, "seal": 6, "plain": 2}
