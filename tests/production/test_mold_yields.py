"""Past yields on the page of a mold, and bench time on a batch."""

import pytest
from django.test import Client
from django.urls import reverse

from formulas.models import Mold
from production.batches.bench_time import bench_findings, bench_minutes
from production.batches.cautions import cautions
from production.batches.models import Batch
from production.batches.records import plan_of
from tests.formulas.test_formula_views import text_of
from tests.production.builders import cut_of, make_mold, material, planned_batch

pytestmark = pytest.mark.django_db


def test_a_mold_shows_what_its_fillings_gave(owner, workshop, owner_client: Client):
    batch = cut_of(owner)
    page = text_of(owner_client.get(batch.mold.get_absolute_url()))
    # The builder cuts what the batch plans, spoils none, and fills one mold.
    bars = sum(finish["bars"] for finish in batch.frozen["finishes"])
    words = f"cut so far gave {bars / batch.mold_count:.1f} good bars each on average; the book says 12."
    assert words in page
    assert "What it really gave" not in text_of(owner_client.get(make_mold("Unused").get_absolute_url()))


def test_the_good_bars_follow_what_the_workshop_cut(owner, workshop, owner_client: Client):
    """Worked by hand: 10 good of 12 pieces is five of six; of the 12 bars that are cut, 10."""
    batch = cut_of(owner)
    Batch.objects.filter(pk=batch.pk).update(bars_cut=10, spoiled_at_cut=2)
    url = batch.mold.get_absolute_url()
    assert "count on 10 good bars from one filling" in text_of(owner_client.get(url))
    response = owner_client.post(reverse("formulas:mold-bars", args=[batch.mold_id]), {"bars": "10"}, follow=True)
    assert Mold.objects.get(pk=batch.mold_id).usable_bars == 10
    assert "10 good bars are counted on from now on." in text_of(response)
    assert "count on 10 good bars" not in text_of(owner_client.get(url))


@pytest.mark.parametrize("bars", ("", "0", "x", "999", "9" * 30))
def test_bars_that_cannot_come_out_change_nothing(owner_client: Client, bars: str):
    mold = make_mold("Loaf of twelve")
    before = mold.usable_bars
    owner_client.post(reverse("formulas:mold-bars", args=[mold.pk]), {"bars": bars})
    assert Mold.objects.get(pk=mold.pk).usable_bars == before


def test_a_ticket_tells_the_minutes_of_its_jugs(owner, workshop):
    plan = plan_of(planned_batch(owner))
    # Common practice, no source: 1 to 2 minutes a jug, 5 to 20 minutes for lye up to 36 %.
    words = "2 jugs want 2 to 4 minutes; the batter stays pourable about 5 to 20."
    assert bench_minutes(plan) == words
    assert [caution.text for caution in cautions(plan) if caution.step == "jugs"] == [words]
    assert bench_findings(plan) == ()


def test_case_c52_a_scent_that_rushes_asks_for_a_simpler_design_to_fall_back_on(owner, workshop):
    """case-C52: more pots than the scent allows."""
    scent = material("scent")
    scent.speeds_trace = True
    scent.save(update_fields=["speeds_trace"])
    plan = plan_of(planned_batch(owner))
    assert [finding.code for finding in bench_findings(plan)] == ["pour_time"]
    told = [caution.text for caution in cautions(plan) if caution.step == "jugs"]
    assert told[0] == "2 jugs want 2 to 4 minutes; the batter stays pourable about 0 to 3."
    assert told[1].startswith("If it thickens sooner: pour two layers")
