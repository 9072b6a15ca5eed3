"""What the workshop's own bars kept of their fresh weight: case-C32 asks for it in place of a rule of thumb."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client

from formulas.models import FormulaRevision
from production.batches.models import Batch
from production.cure.kept import Kept, kept_of_revision
from production.cure.models import CureWeighing
from tests.formulas.test_formula_views import text_of
from tests.production.builders import TODAY, planned_batch

pytestmark = pytest.mark.django_db


@pytest.fixture
def batch(owner, workshop) -> Batch:
    return planned_batch(owner)


def weigh(batch: Batch, mark: str, *course: tuple[int, str], **more) -> None:
    CureWeighing.objects.bulk_create(
        CureWeighing(batch=batch, bar_mark=mark, on=TODAY + timedelta(days=day), grams=Decimal(grams), **more)
        for day, grams in course
    )


def revision_of(batch: Batch) -> FormulaRevision:
    return FormulaRevision.objects.get(pk=batch.revision_id)


def test_case_c32_the_own_ratio_of_cured_to_fresh(batch, owner_client: Client):
    """Worked by hand: 114.4 of 130 g is 88 %, 117 of 130 g is 90 %; together 89 %."""
    weigh(batch, "1", (0, "130"), (14, "119"), (42, "114.4"))
    weigh(batch, "2", (0, "130"), (28, "117"))
    assert kept_of_revision(revision_of(batch)) == Kept(Decimal("89.0"), 1)
    page = text_of(owner_client.get(revision_of(batch).get_absolute_url()))
    assert "kept 89.0 % of their first weight (1 batch)" in page.replace("89.0%", "89.0 %")


def test_bars_that_were_not_weighed_for_four_weeks_say_nothing(batch):
    weigh(batch, "1", (0, "130"), (27, "115"))
    assert kept_of_revision(revision_of(batch)) is None


def test_a_weighing_that_was_set_aside_does_not_count(batch):
    weigh(batch, "1", (0, "130"), (35, "117"))
    weigh(batch, "1", (42, "17"), is_set_aside=True)
    assert kept_of_revision(revision_of(batch)) == Kept(Decimal("90.0"), 1)
