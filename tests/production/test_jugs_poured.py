"""What was really poured, jug by jug: the log that corrects the next drawing."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from production.batches.actions.jugs import JugPoured, note_jugs
from production.batches.asked import BatchRefusal
from tests.formulas.test_formula_views import text_of
from tests.production.builders import planned_batch, poured_batch

pytestmark = pytest.mark.django_db


def test_each_jug_keeps_its_weight_and_what_was_seen(owner, workshop):
    """case-C51: black came out gray; case-C52: two more colors at the last minute, so another amount was poured."""
    batch = poured_batch(owner)
    note_jugs(batch_id=batch.pk, poured={"B": JugPoured(Decimal(640), "came out gray")}, by=owner)
    kept = {jug.letter: (jug.actual_grams, jug.note) for jug in batch.portions.all()}
    assert kept == {"A": (None, ""), "B": (Decimal(640), "came out gray")}


@pytest.mark.parametrize(
    ("poured", "sentence"),
    (
        ({"Z": JugPoured(Decimal(10))}, "A jug was named that this batch does not have. Look at its ticket."),
        ({"A": JugPoured(Decimal(-1))}, "A jug weighs nothing or more. Type the grams on the tared jug."),
        ({"A": JugPoured(Decimal(90_000))}, "Was a jug weighed with its own weight?"),
    ),
)
def test_what_no_jug_can_hold_is_refused(owner, workshop, poured, sentence):
    batch = poured_batch(owner)
    with pytest.raises(BatchRefusal) as caught:
        note_jugs(batch_id=batch.pk, poured=poured, by=owner)
    assert str(caught.value).endswith(sentence)


def test_nothing_is_noted_before_the_pour(owner, workshop):
    batch = planned_batch(owner)
    with pytest.raises(BatchRefusal, match=r"is not poured\. Note its jugs once"):
        note_jugs(batch_id=batch.pk, poured={}, by=owner)


def test_its_page(owner_client: Client, owner):
    batch = poured_batch(owner)
    page = reverse("production:batch-jugs", args=[batch.number])
    assert page in owner_client.get(batch.get_absolute_url()).content.decode()
    answer = owner_client.post(page, {"grams_A": "a cup", "note_A": "thick"})
    assert answer.status_code == 422
    assert "cannot be read as a weight" in text_of(answer)
    assert 'value="a cup"' in answer.content.decode()
    owner_client.post(page, {"grams_A": "651", "grams_B": "", "note_B": "paler than drawn"})
    shown = text_of(owner_client.get(batch.get_absolute_url()))
    assert "paler than drawn" in shown
