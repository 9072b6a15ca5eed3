"""What a pour really filled sizes the formula's next batch: case-C27."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from formulas.models import FormulaRevision, Mold
from formulas.size_records import own_fill
from production.batches.actions.bench import pour_batch
from production.batches.actions.planning import plan_batches
from production.batches.asked import BatchRefusal
from production.batches.fills import fill_of
from production.batches.models import Batch
from tests.production.builders import TODAY, make_order, weighed_batch

pytestmark = pytest.mark.django_db


def pour(batch: Batch, by, **figures) -> Batch:
    return pour_batch(batch_id=batch.pk, on=TODAY, by=by, **figures)


def revision_of(batch: Batch) -> FormulaRevision:
    return FormulaRevision.objects.get(pk=batch.revision_id)


@pytest.fixture
def weighed(owner, workshop) -> Batch:
    return weighed_batch(owner)[0]


def measured_mm(batch: Batch) -> Decimal:
    """Return a height one tenth below the one that was planned."""
    return (batch.mold.height_mm * (1 - batch.mold.headroom_percent / 100) * Decimal("0.9")).quantize(Decimal("0.1"))


def test_case_c27_the_next_batch_is_sized_by_the_fill_that_was_measured(weighed, owner):
    pour(weighed, owner, in_molds_grams=weighed.batter_grams, filled_to_mm=measured_mm(weighed))
    revision = revision_of(weighed)
    own = own_fill(revision)
    assert own is not None
    assert own.batches == revision.seen_fills == 1
    fill = fill_of(Batch.objects.get(pk=weighed.pk))
    assert revision.seen_oils_per_ml == (fill.oils_grams / fill.filled_ml).quantize(Decimal("0.0001"))
    order = make_order(owner, weighed.design, 10)
    (again,) = plan_batches(order_id=order.pk, today=TODAY, pour_on=TODAY, by=owner)
    mold = weighed.mold
    room_ml = mold.length_mm * mold.width_mm * mold.height_mm / 1000 * (1 - mold.headroom_percent / 100)
    two_jugs_keep = 2 * Decimal("0.015")  # common practice, no source
    expected = revision.seen_oils_per_ml * room_ml / (1 - two_jugs_keep)
    assert abs(again.oils_grams / expected - 1) < Decimal("0.002")


def test_a_fill_typed_with_the_formula_stands_above_what_was_measured(weighed, owner):
    FormulaRevision.objects.filter(pk=weighed.revision_id).update(oils_per_ml=Decimal("0.6"))
    pour(weighed, owner, filled_to_mm=measured_mm(weighed))
    own = own_fill(revision_of(weighed))
    assert own is not None
    assert (own.oils_g_per_ml, own.batches) == (Decimal("0.6"), 0)


def test_without_a_height_nothing_is_measured(weighed, owner):
    pour(weighed, owner)
    assert own_fill(revision_of(weighed)) is None


@pytest.mark.parametrize(
    ("height", "says"),
    (("900", "cannot stand 900 mm high"), ("20", "soap batter weighs about 1")),
    ids=("higher than the mold", "far too low for its weight"),
)
def test_a_height_that_cannot_be_is_refused_and_nothing_is_poured(weighed, owner, height, says):
    with pytest.raises(BatchRefusal, match=says):
        pour(weighed, owner, filled_to_mm=Decimal(height))
    weighed.refresh_from_db()
    assert (weighed.status, weighed.filled_to_mm, revision_of(weighed).seen_fills) == ("in_process", None, 0)


def test_the_height_is_asked_for_at_the_pour_and_shown_with_the_mold(weighed, owner_client: Client):
    page = owner_client.get(weighed.get_absolute_url()).content.decode()
    assert "The batter stands in the mold" in page
    sent = {"on": TODAY.isoformat(), "filled_to": f"{measured_mm(weighed)} mm"}
    response = owner_client.post(reverse("production:batch-pour", args=[weighed.number]), sent, follow=True)
    assert response.status_code == 200
    weighed.refresh_from_db()
    assert (weighed.status, weighed.filled_to_mm) == ("poured", measured_mm(weighed))
    formula = revision_of(weighed).formula_id
    mold = owner_client.get(f"{weighed.mold.get_absolute_url()}?formula={formula}").content.decode()
    assert "as measured in 1 batch of this revision" in mold
    revision = owner_client.get(revision_of(weighed).get_absolute_url()).content.decode()
    assert "measured in 1 batch, which is what molds are sized by" in revision


def test_a_sheet_of_cavities_is_not_asked_for_a_height(weighed, owner_client: Client):
    Mold.objects.filter(pk=weighed.mold_id).update(kind="cavity", cavity_ml=Decimal(95), cavities=12)
    page = owner_client.get(weighed.get_absolute_url()).content.decode()
    assert "In the molds, without the mold" in page
    assert "The batter stands in the mold" not in page
