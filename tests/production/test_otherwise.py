"""Something went otherwise at the bench: a few taps, a deviation with its effect, and figures that follow."""

from datetime import date
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from orders.models import HouseTerms
from production.batches.actions.after_pour import hold_batch
from production.batches.actions.bench import undo_weighing
from production.batches.actions.off_ticket import spill_weighed
from production.batches.models import Batch, Deviation, Weighing
from production.batches.otherwise import ALL
from production.batches.reach import reach_of
from production.costing.pots import batch_pot
from production.stock.actions import receive_lot
from production.stock.models import Lot
from soapshop.models import User, Workshop
from tests.production.builders import material, poured_batch, started_batch, weighed_batch
from tests.production.stores_shop import assert_balanced


@pytest.fixture
def signed_in(client: Client, owner: User, workshop: Workshop) -> Client:
    client.force_login(owner)
    return client


def tell(client: Client, batch: Batch, kind: str, **given: object):
    address = reverse("production:batch-otherwise", args=[batch.number])
    return client.post(f"{address}?what={kind}", given)


def line_of(batch: Batch, key: str) -> Weighing:
    return batch.weighings.filter(material=material(key)).first()


def test_a_spill_is_a_deviation_and_the_figures_follow(signed_in: Client, owner: User):
    batch, _ = weighed_batch(owner)
    line = line_of(batch, "olive")
    before, lot_left = Batch.objects.get(pk=batch.pk), Lot.objects.get(pk=line.lot_id).grams_left
    response = tell(signed_in, batch, "spilled", line=line.pk, grams="50", words="over the rim")
    assert response.status_code == 302
    deviation, line = batch.deviations.get(), line_of(batch, "olive")
    batch.refresh_from_db()
    assert (deviation.kind, deviation.what) == ("spilled", "50 g of Olive oil were spilled. over the rim")
    assert deviation.effect.startswith(
        f"Superfat {before.superfat_actual_percent:.1f} → {batch.superfat_actual_percent:.1f} %"
    )
    assert batch.superfat_actual_percent < before.superfat_actual_percent
    assert (line.spilled_grams, Lot.objects.get(pk=line.lot_id).grams_left) == (Decimal(50), lot_left)
    assert_balanced()


def test_what_was_spilled_stays_gone_when_the_weighing_is_undone(owner: User, workshop: Workshop):
    batch, _ = weighed_batch(owner)
    line = line_of(batch, "olive")
    left = line.lot.grams_left
    spill_weighed(weighing_id=line.pk, grams=Decimal(50), what_happened="over the rim", by=owner)
    undone = undo_weighing(weighing_id=line.pk, reason="start again", by=owner)
    assert Lot.objects.get(pk=line.lot_id).grams_left == left + line.actual_grams - 50
    assert (undone.spilled_grams, undone.is_weighed) == (Decimal(50), False)
    assert_balanced()


def test_a_spill_sent_twice_has_one_effect(signed_in: Client, owner: User):
    batch, _ = weighed_batch(owner)
    given = {"line": line_of(batch, "olive").pk, "grams": "50", "words": "rim", "typed_once": "b" * 32}
    for _ in range(2):
        tell(signed_in, batch, "spilled", **given)
    assert (batch.deviations.count(), line_of(batch, "olive").spilled_grams) == (1, Decimal(50))


def test_another_tub_counts_as_what_it_is(signed_in: Client, owner: User):
    """C72: a substitution at the bench is a line of its own, with its lot, judged anew."""
    batch, _ = started_batch(owner)
    line = line_of(batch, "olive")
    tub = receive_lot(material=material("aloe"), received_on=date(2026, 4, 1), grams=Decimal(5000), by=owner)
    tell(signed_in, batch, "other_tub", line=line.pk, lot=tub.code, grams="100", words="dark shelf")
    deviation = batch.deviations.get()
    assert deviation.what == f"100 g of Aloe juice ({tub.code}) went in instead of Olive oil. dark shelf"
    assert "New on the label: Aloe juice. No longer in it: Olive oil." in deviation.effect
    assert line_of(batch, "olive").actual_grams == 0
    assert (line_of(batch, "aloe").lot, line_of(batch, "aloe").actual_grams) == (tub, Decimal(100))


def test_a_tub_of_the_same_material_is_no_other_tub(signed_in: Client, owner: User):
    batch, lots = started_batch(owner)
    line = line_of(batch, "olive")
    response = tell(signed_in, batch, "other_tub", line=line.pk, lot=lots[line.material_id], grams="100")
    assert response.status_code == 422
    assert "as the ticket says. Weigh it as that line." in response.content.decode()
    assert not batch.deviations.exists()


def test_a_forgotten_ingredient_and_an_extra_one_are_judged(signed_in: Client, owner: User):
    batch, lots = started_batch(owner)
    tell(signed_in, batch, "left_out", line=line_of(batch, "scent").pk, words="tub empty")
    tell(signed_in, batch, "extra", lot=lots[material("olive").pk], grams="100", words="slipped")
    first, second = batch.deviations.all()
    assert first.effect.startswith("Scent ")
    assert "No longer in it: Fern fragrance." in first.effect
    assert (first.kind, second.kind, second.effect.startswith("Superfat ")) == ("left_out", "extra", True)


@pytest.mark.parametrize(
    ("kind", "given", "what"),
    (
        (
            "color",
            {"jug": "A", "words": "gray instead of black"},
            "has another color than drawn: gray instead of black",
        ),
        ("seized", {"words": "spooned in"}, "The batter seized."),
        ("else", {"words": "power cut", "effect": "stood cold for an hour"}, "power cut"),
    ),
)
def test_slips_without_a_weight(signed_in: Client, owner: User, kind: str, given: dict, what: str):
    batch = poured_batch(owner)
    assert tell(signed_in, batch, kind, **given).status_code == 302
    deviation = batch.deviations.get()
    assert what in deviation.what
    assert deviation.effect


def test_a_miscolored_jug_names_the_order_and_the_last_day(signed_in: Client, owner: User):
    batch = poured_batch(owner)
    order = batch.serves.get().line.order
    tell(signed_in, batch, "color", jug="A", words="gray")
    assert f"ask before the cure is spent: order {order.number}" in batch.deviations.get().effect


def test_a_skipped_step_says_so_and_stays_open(signed_in: Client, owner: User):
    batch = poured_batch(owner)
    step = batch.steps.filter(done_on__isnull=True).first()
    tell(signed_in, batch, "skipped", step=step.pk, words="no time")
    step.refresh_from_db()
    assert (step.note, step.done_on) == ("Skipped: no time", None)
    assert batch.deviations.get().what == f"Skipped: {step.label}. no time"


def test_only_what_can_happen_is_offered(signed_in: Client, owner: User):
    batch = poured_batch(owner)
    offered = {kind.key for kind in ALL if kind.can_happen(batch)}
    assert offered == {"swapped", "color", "seized", "skipped", "else"}  # no lot of parts, and nothing is weighed now
    page = signed_in.get(reverse("production:batch-otherwise", args=[batch.number])).content.decode()
    assert [f"?what={kind.key}" in page for kind in ALL] == [kind.key in offered for kind in ALL]


def test_what_was_spilled_is_paid_for(owner: User, workshop: Workshop):
    batch, _ = weighed_batch(owner)
    Lot.objects.update(price=Decimal(100))
    terms = HouseTerms.current()
    before = batch_pot(Batch.objects.get(pk=batch.pk), workshop=workshop, terms=terms)
    spill_weighed(weighing_id=line_of(batch, "olive").pk, grams=Decimal(50), what_happened="rim", by=owner)
    after = batch_pot(Batch.objects.get(pk=batch.pk), workshop=workshop, terms=terms)
    assert before.sheet is not None
    assert after.sheet is not None
    assert after.sheet.lines == before.sheet.lines


def test_a_hold_names_every_order_and_its_last_day(owner: User, workshop: Workshop):
    batch = poured_batch(owner)
    hold_batch(batch_id=batch.pk, reason="lye", by=owner)
    (row,) = reach_of(batch).orders
    order = row.line.order
    away = order.travel_days + workshop.pack_days + batch.cure_days
    assert (row.bars, (order.needed_by - row.pour_again_by).days) == (10, away)


def test_every_kind_writes_its_own_kind(owner: User, workshop: Workshop):
    assert {kind.kind for kind in ALL} == set(Deviation.Kind) - {Deviation.Kind.WEIGHT}
