"""Parts made in small pots of their own: plan, ticket, weigh, pour, count onto the shelf."""

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from formulas.actions.parts import PartRefusal, create_part, save_part
from formulas.models import Material, Part
from formulas.part_contents import IngredientDraft, shares_of
from production.batches.asked import BatchRefusal
from production.part_batches.actions import (
    give_up_part_batch,
    plan_part_batch,
    pour_part_batch,
    shelve_part_batch,
)
from production.part_batches.models import PartBatch
from production.part_batches.states import MOVES, PartBatchState, may_move
from production.stock.actions import StockRefusal, receive_lot, use_parts
from production.stock.models import Origin
from tests.formulas.test_formula_views import text_of
from tests.production.builders import TODAY, make_formula, material, planned_batch
from tests.production.pdf_reading import page_texts
from tests.production.stores_shop import assert_balanced

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def figures(**wish) -> dict:
    return {
        "name": "Crown", "kind": "topper", "unit_grams": Decimal("4.5"), "batter_grams": Decimal(5),
        "attached_at": "pour", "made_ahead_least_days": 3, "made_ahead_most_days": 60, "attach_window_days": None,
        "spare_percent": Decimal(25), "spare_least": 2, "color_hex": "#d9b44a", "minutes_per_piece": Decimal(3),
        "is_bought": False, "formula": None,
    } | wish  # fmt: skip


def crown(by, **wish) -> Part:
    return create_part(figures=figures(formula=make_formula(by, "Crown").formula, **wish), ingredients=(), by=by)


def stocked(batch: PartBatch, by, *, factor: Decimal = Decimal(1)) -> dict[int, tuple[str, Decimal]]:
    """Receive a lot for each line and return what the scale says: the plan times a factor."""
    return {
        line.pk: (
            receive_lot(material=line.material, received_on=TODAY, grams=Decimal(5000), by=by).code,
            (line.planned_grams * factor).quantize(Decimal("0.001")),
        )
        for line in batch.weighings.select_related("material")
    }


@pytest.fixture
def planned(workshop, owner) -> PartBatch:
    return plan_part_batch(part_id=crown(owner).pk, pieces=40, make_on=TODAY, by=owner)


def refused(act) -> str:
    with pytest.raises(BatchRefusal) as caught:
        act()
    return str(caught.value)


def test_what_a_piece_is_made_of_follows_from_its_formula(workshop, owner):
    part = crown(owner)
    rows = list(part.ingredients.select_related("material"))
    assert sum(row.percent for row in rows) == 100
    assert {row.material.kind for row in rows} == {"fat", "alkali", "liquid", "fragrance"}
    with pytest.raises(PartRefusal, match="follows from its formula"):
        save_part(part_id=part.pk, figures={}, ingredients=[IngredientDraft(material("olive"), Decimal(100))], by=owner)


def test_shares_add_up_and_the_largest_takes_what_was_cut_off():
    """Worked by hand: thirds cut to four places leave 0.0001 of a percent."""
    thirds = [Material(pk=number, name=name) for number, name in enumerate("ABC", start=1)]
    shares = shares_of(dict.fromkeys(thirds, Decimal(1)))
    assert sorted(str(row.percent) for row in shares) == ["33.3333", "33.3333", "33.3334"]


def test_bought_or_made_but_not_both(workshop, owner):
    with pytest.raises(PartRefusal, match="A bought part is not made from a formula"):
        crown(owner, is_bought=True)
    bought = create_part(figures=figures(is_bought=True), ingredients=(), by=owner)
    words = refused(lambda: plan_part_batch(part_id=bought.pk, pieces=10, make_on=TODAY, by=owner))
    assert words == "Crown has no formula, so it has no batch to weigh. Name its formula first."


def test_the_pot_holds_the_batter_of_its_pieces_and_what_stays_in_the_vessel(planned):
    """Worked by hand: 40 pieces of 5 g are 200 g; 1.5 % stays in the vessel, so 203.05 g are made."""
    weighed = sum((line.planned_grams for line in planned.weighings.all()), Decimal(0))
    # The lye is rounded down to its scale, water and oils to theirs: a gram or two less.
    assert abs(weighed - planned.batter_grams) < Decimal("0.01")
    assert 0 <= Decimal("203.05") - weighed < 2
    assert planned.number == "M26-001"


def test_the_whole_way_from_pot_to_bar(planned, owner):
    weights = stocked(planned, owner)
    poured = pour_part_batch(part_batch_id=planned.pk, weights=weights, made_on=TODAY, by=owner)
    assert poured.state == PartBatchState.POURED
    assert poured.superfat_percent > 0
    shelved = shelve_part_batch(part_batch_id=planned.pk, pieces=38, use_by=None, by=owner)
    lot = shelved.lot
    # Common practice, no source: wrapped dough keeps 90 days.
    assert (lot.pieces_made, lot.made_on, lot.use_by) == (38, TODAY, TODAY + 90 * DAY)
    came_from = {(origin.from_lot.code, origin.grams) for origin in Origin.objects.filter(part_lot=lot)}
    assert came_from == set(weights.values())
    assert_balanced()
    other = planned_batch(owner)
    with pytest.raises(StockRefusal, match="has to rest 3 days"):
        use_parts(part_lot_id=lot.pk, pieces=1, on=TODAY, batch_id=other.pk, by=owner)
    assert use_parts(part_lot_id=lot.pk, pieces=1, on=TODAY + 3 * DAY, batch_id=other.pk, by=owner).pieces_left == 37


def test_a_lye_heavy_pot_is_never_poured_and_draws_nothing(planned, owner):
    weights = stocked(planned, owner)
    lye = planned.weighings.get(material__kind="alkali")
    weights[lye.pk] = (weights[lye.pk][0], lye.planned_grams * 2)

    def pour():
        return pour_part_batch(
            part_batch_id=planned.pk, weights=weights, made_on=TODAY, what_happened="Slipped", by=owner
        )

    assert refused(pour).startswith("Stop: this pot has a superfat of -")
    assert PartBatch.objects.get().state == PartBatchState.PLANNED
    weights[lye.pk] = (weights[lye.pk][0], lye.planned_grams)
    assert pour().state == PartBatchState.POURED


def test_what_is_missing_or_off_is_asked_for(planned, owner):
    weights = stocked(planned, owner)
    lines = list(planned.weighings.select_related("material"))

    def pour(words: str = "", **change):
        return pour_part_batch(
            part_batch_id=planned.pk,
            weights=weights | change.get("w", {}),
            made_on=TODAY,
            what_happened=words,
            by=owner,
        )

    first, second = lines[0], lines[1]
    few = {pk: row for pk, row in weights.items() if pk != first.pk}
    assert refused(lambda: pour_part_batch(part_batch_id=planned.pk, weights=few, made_on=TODAY, by=owner)).startswith(
        f"{first.material} is not weighed."
    )
    assert refused(lambda: pour(w={first.pk: ("L99-999", Decimal(1))})).startswith("There is no lot “L99-999”.")
    swapped = (weights[second.pk][0], first.planned_grams)
    assert "Take the other tub." in refused(lambda: pour(w={first.pk: swapped}))
    fat = next(line for line in lines if line.material.kind == "fat")
    more = {fat.pk: (weights[fat.pk][0], fat.planned_grams * Decimal("1.2"))}
    assert "Weigh it again, or write down what happened." in refused(lambda: pour(w=more))
    assert pour("Spilled, so more oil.", w=more).what_happened == "Spilled, so more oil."


def test_a_second_click_gives_one_batch_and_a_finished_one_stays(planned, owner):
    once = uuid4()
    first = plan_part_batch(part_id=planned.part_id, pieces=5, make_on=TODAY, by=owner, typed_once=once)
    assert plan_part_batch(part_id=planned.part_id, pieces=5, make_on=TODAY, by=owner, typed_once=once) == first
    give_up_part_batch(part_batch_id=first.pk, reason="Not needed", by=owner)
    words = "This batch of parts already is cancelled. Nothing was changed."
    assert refused(lambda: give_up_part_batch(part_batch_id=first.pk, reason="Again", by=owner)) == words


def test_no_piece_of_more_than_a_thousand_grams_and_no_pot_of_none(planned, owner):
    for pieces in (0, -4, 10_001):
        assert "Pour from 1 to 10,000 pieces" in refused(
            lambda pieces=pieces: plan_part_batch(part_id=planned.part_id, pieces=pieces, make_on=TODAY, by=owner)
        )


@pytest.mark.parametrize("current", PartBatchState)
@pytest.mark.parametrize("target", PartBatchState)
def test_only_the_moves_of_the_table_are_made(current: PartBatchState, target: PartBatchState):
    assert (may_move(current, target) is None) == (target in MOVES[current])


class TestPages:
    def test_from_the_part_to_the_shelf(self, owner_client: Client, owner, workshop, today):
        part = crown(owner)
        new = reverse("production:part-batch-new", args=[part.pk])
        assert new in owner_client.get(part.get_absolute_url()).content.decode()
        for typed, sentence in (
            ({"pieces": "many", "make_on": "2999-01-01"}, "Type a whole number of pieces, such as 40."),
            ({"pieces": "", "make_on": ""}, "How many pieces?"),
            ({"pieces": "-3", "make_on": "2020-01-01"}, "That day has passed. Pour today or later."),
        ):
            answer = owner_client.post(new, typed)
            assert answer.status_code == 422
            assert sentence in text_of(answer)
        owner_client.post(new, {"pieces": "24", "make_on": "2090-05-12"})
        batch = PartBatch.objects.get()
        page = owner_client.get(batch.get_absolute_url())
        assert "Weigh and pour" in text_of(page)
        assert batch.number in text_of(owner_client.get(reverse("production:bench")))
        pour = reverse("production:part-batch-pour", args=[batch.number])
        answer = owner_client.post(pour, {"made_on": "soon"})
        assert answer.status_code == 422
        assert "What does the scale show for" in text_of(answer)

    def test_the_ticket_says_what_it_is_for(self, owner_client: Client, planned):
        answer = owner_client.post(reverse("production:part-batch-ticket", args=[planned.number]))
        text = " ".join(page_texts(answer.content))
        for words in ("M26-001", "Crown", "40 pieces", "parts, made ahead", "5 g a piece", "Lye into liquid, never"):
            assert words in text
        planned.refresh_from_db()
        assert planned.tickets_printed == 1
