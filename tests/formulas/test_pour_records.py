"""What a design asks of the bench, read from its rows: a light jug against a scent that browns."""

from decimal import Decimal

import pytest

from formulas.models import Design, FormulaLine, FormulaRevision, Material, Portion
from formulas.pour_records import revision_scents
from formulas.reads.designs import design_page
from tests.orders.builders import make_design, make_formula, material

pytestmark = pytest.mark.django_db


def test_a_white_layer_and_a_scent_that_browns(owner, workshop):
    """case-C54: white looked fine for a week and was brown by week three."""
    design = make_design(owner)
    scent = material("scent")
    scent.vanillin_percent = Decimal("11.5")
    scent.save(update_fields=["vanillin_percent"])
    Portion.objects.filter(letter="A").update(color_hex="#f4f1e8")

    def texts() -> list[str]:
        shown = Design.objects.for_page().get(pk=design.pk)
        return [finding.text for finding in design_page(shown, workshop=workshop).filling.findings]

    assert texts() == ["Fern fragrance turns light batter dark brown within two to three weeks: jug A."]
    Portion.objects.filter(letter="A").update(is_scented=False)
    assert texts() == []


def test_the_scent_that_hurries_sets_the_pace(owner):
    revision = make_formula(owner)
    quick = Material.objects.create(key="orange", name="Orange oil", kind="essential_oil", speeds_trace=True)
    FormulaLine.objects.create(revision=revision, material=quick, stage="trace", percent=Decimal(1))
    read = FormulaRevision.objects.prefetch_related("lines__material").get(pk=revision.pk)
    assert [scent.name for scent in revision_scents(read)] == ["Orange oil", "Fern fragrance"]
