"""The cost of the materials of two revisions side by side."""

from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from formulas.actions.revisions import revise_formula
from formulas.records import reckon_revision
from production.costing.compared import material_cost
from production.stock.actions import receive_lot
from tests.production.builders import make_formula


@pytest.fixture
def revision(owner, workshop):
    return make_formula(owner)


def price_everything(revision, by):
    for line in revision.lines.select_related("material"):
        receive_lot(material=line.material, received_on=date(2026, 1, 5), grams=Decimal(1000), price=Decimal(10), by=by)


def test_materials_cost_what_the_newest_deliveries_cost(revision, owner):
    price_everything(revision, owner)
    cost = material_cost(revision)
    # Worked by hand: every gram costs 0.01, so the materials cost a hundredth of the weigh-out of 1 kg of oils.
    assert cost.unpriced == ()
    assert cost.cost == reckon_revision(revision).result.weigh_out_sum_grams * Decimal("0.01")


def test_a_material_without_a_price_is_named_and_not_counted_as_free(revision):
    named = {line.material.name for line in revision.lines.select_related("material") if line.material.key != "water"}
    cost = material_cost(revision)
    assert set(cost.unpriced) == named
    assert cost.cost == 0


def test_the_page_that_compares_shows_both_costs(revision, owner, owner_client):
    price_everything(revision, owner)
    draft = revise_formula(formula_id=revision.formula_id, reason="The same once more", by=owner)
    page = owner_client.get(
        reverse("formulas:revision-compare", args=[revision.formula_id, draft.number, revision.number])
    )
    assert "What the materials cost" in page.content.decode()
