"""A pot of parts that was poured and not counted yet is found from the lots in it."""

import pytest

from production.part_batches.actions import give_up_part_batch, plan_part_batch, pour_part_batch, shelve_part_batch
from production.tracing.reads import whole_trace
from production.tracing.subjects import find_subject
from tests.production.builders import TODAY
from tests.production.test_part_batches import crown, stocked

pytestmark = pytest.mark.django_db


def found(code: str) -> list[tuple[str, str]]:
    return [(pot.number, pot.state) for pot in whole_trace(find_subject(code)).to_pots]


def test_from_the_lot_to_the_pot_until_it_is_counted(owner, workshop):
    pot = plan_part_batch(part_id=crown(owner).pk, pieces=40, make_on=TODAY, by=owner)
    weights = stocked(pot, owner)
    code = next(iter(weights.values()))[0]
    assert found(code) == []
    pour_part_batch(part_batch_id=pot.pk, weights=weights, made_on=TODAY, by=owner)
    assert found(code) == [("M26-001", "Poured")]
    subject = find_subject("m26-001")
    assert (subject.title, code in subject.notes[0]) == ("Batch of parts M26-001, Crown", True)
    assert whole_trace(subject).is_empty
    lot = shelve_part_batch(part_batch_id=pot.pk, pieces=40, use_by=None, by=owner).lot
    assert found(code) == []
    assert [each.code for each in whole_trace(find_subject(code)).to_part_lots] == [lot.code]
    assert {each.code for each in whole_trace(find_subject("M26-001")).from_lots} == {c for c, _ in weights.values()}


def test_a_pot_thrown_away_still_holds_the_lot(owner, workshop):
    pot = plan_part_batch(part_id=crown(owner).pk, pieces=40, make_on=TODAY, by=owner)
    weights = stocked(pot, owner)
    pour_part_batch(part_batch_id=pot.pk, weights=weights, made_on=TODAY, by=owner)
    give_up_part_batch(part_batch_id=pot.pk, reason="Seized in the mold", by=owner)
    assert found(next(iter(weights.values()))[0]) == [("M26-001", "Scrapped")]
