"""Two people weigh from one tub at the same moment, as real processes: it gives exactly what is there."""

from decimal import Decimal

import pytest

from production.batches.actions.bench import start_batch
from production.batches.actions.planning import plan_batches
from production.stock.actions import receive_lot
from tests.production.builders import TODAY, make_design, make_order
from tests.production.test_two_writers import owner, processes

__all__ = ["owner", "processes"]
pytestmark = pytest.mark.django_db(transaction=True)


def weighings_of_one_tub(by, *, tub_for: int):
    """Four batches that each want the same olive oil, and a tub that holds it for ``tub_for`` of them."""
    design = make_design(by)
    lines = []
    for _ in range(4):
        order = make_order(by, design, 10)
        (batch,) = plan_batches(order_id=order.pk, today=TODAY, by=by)
        start_batch(batch_id=batch.pk, by=by)
        lines.append(batch.weighings.get(material__key="olive"))
    grams = lines[0].planned_grams
    lot = receive_lot(material=lines[0].material, received_on=TODAY, grams=grams * tub_for + 1, by=by)
    return lines, lot


@pytest.mark.parametrize("tub_for", [2, 4])
def test_rule_g02_a_tub_gives_each_line_its_weight_until_it_is_empty(processes, owner, tub_for):
    lines, lot = weighings_of_one_tub(owner, tub_for=tub_for)
    processes.share_rows()
    jobs = ({"do": "weigh", "line": line.pk, "lot": lot.code, "by": owner.pk} for line in lines)
    answers = processes.all_at_once(*jobs)
    weighed = [Decimal(answer["weighed"]) for answer in answers]
    assert sorted(weighed) == sorted([lines[0].planned_grams] * tub_for + [Decimal(0)] * (4 - tub_for))
    left = processes.one({"do": "look_at_lot", "lot": lot.pk})
    assert (Decimal(left["grams_left"]), Decimal(left["moves"])) == (1, 1)


def test_one_line_weighed_by_four_at_once_is_drawn_once(processes, owner):
    lines, lot = weighings_of_one_tub(owner, tub_for=4)
    processes.share_rows()
    processes.all_at_once({"do": "weigh", "line": lines[0].pk, "lot": lot.code, "by": owner.pk})
    left = processes.one({"do": "look_at_lot", "lot": lot.pk})
    assert Decimal(left["grams_left"]) == lot.grams_left - lines[0].planned_grams
