"""Before a label is printed: what the customer wants left out is held against all that is in the bars."""

import pytest
from django.urls import reverse
from django.utils import timezone

from formulas.models import Material
from orders.models import Customer
from production.batches.models import Batch
from production.labels.declared import batch_labels
from production.labels.present import present_day
from production.labels.reads import batch_for_labels
from soapshop.models import Workshop
from tests.production.label_shop import TODAY, cut_from, weighed_batch
from tests.production.leftovers_shop import cut_with_weights, ends_of, rebatch_of, weigh_all
from tests.production.test_leftovers import held


def labels_of(batch: Batch):
    row = batch_for_labels().get(pk=batch.pk)
    present = present_day([row], workshop=Workshop.current(), market="us_soap")
    return batch_labels(row, present, market="us_soap", style="as_added", on=TODAY), present


def asked(batch: Batch) -> dict[str, str]:
    """The question of each finish, if there is one."""
    labels, _ = labels_of(batch)
    return {f.key: p.text for f in labels.finishes for p in f.problems if p.code == "avoided"}


@pytest.fixture
def batch(owner, workshop):
    made = cut_from(weighed_batch(owner), owner)
    Material.objects.filter(key="test-coconut").update(avoid_groups=["coconut"])
    Material.objects.filter(key="test-dough").update(avoid_groups=["palm"])
    return made


def test_a_deadly_allergy_is_asked_about_whatever_the_fat_came_in_by(batch):
    """case-C90: the pot, and what only a part holds; the words never call a bar safe."""
    assert asked(batch) == {}
    Customer.objects.update(avoid_groups=["Coconut", "mustard"])
    words = "Mara Velden of Harbor Dune wants left out what is in these bars: Coconut oil (coconut)."
    assert asked(batch) == dict.fromkeys(("seal", "seal+shell", "plain"), words)
    Customer.objects.update(avoid_groups=["palm"])
    words = "Mara Velden of Harbor Dune wants left out what is in these bars: Soap flakes (palm)."
    assert asked(batch) == dict.fromkeys(("seal", "seal+shell"), words)
    Customer.objects.update(avoid_groups=["mustard"])
    assert asked(batch) == {}


def test_a_single_material_is_asked_about_by_its_name(batch):
    customer = Customer.objects.get()
    customer.avoid_materials.set(Material.objects.filter(key__in=("test-scent", "test-gold", "test-olive")))
    found = asked(batch)
    assert "Harbor lavender (on the list by name), Olive oil (on the list by name)." in found["plain"]
    assert "Gold oxide (on the list by name)" in found["seal"]
    customer.avoid_materials.clear()
    customer.avoid_groups = ["scent"]
    customer.save()
    assert "Harbor lavender (scent)" in asked(batch)["plain"]


def test_the_question_is_answered_with_a_name_and_stays_in_the_list(owner_client, batch, monkeypatch):
    monkeypatch.setattr(timezone, "localdate", lambda *_: TODAY)
    Customer.objects.update(avoid_groups=["coconut"])
    rows = owner_client.get(reverse("production:label-list")).context["rows"]
    assert [finish.asks for finish in rows[0].finishes] == [1, 1, 1]
    page = reverse("production:batch-labels", args=[batch.number])
    assert "A question of health is one for a doctor." in owner_client.get(page).content.decode()
    given = {
        "finish": "seal",
        "market": "us_soap",
        "style": "as_added",
        "question": "avoided",
        "answer": "A gift for her aunt",
    }
    owner_client.post(reverse("production:label-answer", args=[batch.number]), given)
    assert owner_client.get(page).context["prepared"].asks == ()


def test_own_soap_brings_what_it_was_made_of(owner, workshop):
    """case-C70, case-C90: a rebatch holds all that its parents held, so it is held against the list with all of it."""
    parent = cut_with_weights(owner)
    lot = ends_of(parent, owner, "40")
    rebatch = weigh_all(rebatch_of(owner, {lot.code: "40"}, {"aloe": "5"}), owner)
    labels, present = labels_of(rebatch)
    names = {present.ingredients[pk].name for pk in labels.finishes[0].made_of}
    assert names == set(held(parent)) | {"Aloe juice"}
