"""Papers about a batch for others: what they say, when they are refused, and what they leave to qualified people."""

from datetime import date

import pytest
from django.urls import reverse

from formulas.models import Material
from production.labels.assessor import ASSESSOR_STILL_DOES
from tests.production.label_shop import cut_from, released_batch, weighed_batch
from tests.production.pdf_reading import page_texts

KINDS = ("certificate", "allergens", "product-information")


def paper(client, batch, kind, **asked):
    return client.get(reverse("production:label-paper", args=[batch.number, kind]), {"finish": "seal"} | asked)


def words(response):
    return " ".join(page_texts(response.content))


@pytest.fixture
def batch(owner, workshop):
    return released_batch(owner)


def test_a_certificate_names_batch_decision_weight_and_list(owner_client, batch):
    batch.checks.create(method="ph", figure="9.6", limit_text="8 to 10.5", verdict="clear", on=date(2026, 6, 20))
    said = words(paper(owner_client, batch, "certificate"))
    for part in (
        "BATCH CERTIFICATE",
        batch.number,
        "Released on",
        "All checks clear.",
        "9.6",
        "Jun 20, 2026",
        "Net Wt",
    ):
        assert part in said
    assert "Sodium Hydroxide" in said
    assert "This market sets no threshold. By the suppliers' statements on file these bars hold Linalool." in said
    assert "no threshold" not in words(paper(owner_client, batch, "certificate", market="eu"))


def test_a_batch_that_is_not_released_gets_no_certificate(owner, owner_client):
    curing = cut_from(weighed_batch(owner), owner)
    response = paper(owner_client, curing, "certificate")
    assert response.status_code == 422
    assert "nothing can be certified" in response.content.decode()
    assert paper(owner_client, curing, "allergens").status_code == 200


def test_an_allergen_table_says_shares_and_its_limits(owner_client, batch):
    """case-C90, case-C91: groups such as coconut or nut are told material by material; safety is never promised."""
    Material.objects.filter(key="test-coconut").update(avoid_groups=["coconut"])
    said = words(paper(owner_client, batch, "allergens", market="eu"))
    for part in (
        "Linalool",
        "named",
        "Coconut oil coconut",
        "unknown is not absent",
        "no bar is called safe",
        "doctor",
    ):
        assert part in said


def test_what_parts_are_made_of_is_in_the_allergen_table(owner_client, batch):
    """The dough is in no pot of this batch, only in its seals and shells."""
    Material.objects.filter(key="test-dough").update(avoid_groups=["palm"])
    assert "Soap flakes palm" in words(paper(owner_client, batch, "allergens"))
    assert "Soap flakes" not in words(paper(owner_client, batch, "allergens", finish="plain"))


def test_a_product_summary_says_what_an_assessor_must_still_do(owner_client, batch):
    said = words(paper(owner_client, batch, "product-information", market="eu", style="as_resulting"))
    assert "Every scent is within the limit" in said
    assert "No safety report and no safety assessment" in said
    for sentence in ASSESSOR_STILL_DOES:
        assert sentence in said


def test_a_scent_without_certificate_is_told_in_the_summary(owner_client, batch):
    frozen = batch.frozen
    for material in frozen["materials"]:
        material["scent_limit_percent"] = None
    batch.frozen = frozen
    batch.save(update_fields=["frozen"])
    Material.objects.filter(key="test-scent").update(scent_limit_percent=None)
    said = words(paper(owner_client, batch, "product-information"))
    assert "Unknown is not unlimited." in said
    assert "Every scent is within the limit" not in said
    assert paper(owner_client, batch, "certificate").status_code == 422


@pytest.mark.parametrize("kind", KINDS)
def test_hostile_words_are_printed_as_text(owner, owner_client, kind, workshop):
    workshop.maker_name = "<img src=file:///etc/passwd> & Co"
    workshop.save()
    said = words(paper(owner_client, released_batch(owner, name="Dune <b>bold</b>"), kind))
    assert "Dune <b>bold</b>" in said
    assert "<img src=file:///etc/passwd> & Co" in said


def test_a_paper_that_does_not_exist_is_not_found(owner_client, batch):
    assert paper(owner_client, batch, "horoscope").status_code == 404
