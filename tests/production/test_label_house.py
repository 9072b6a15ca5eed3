"""What stands on every label: logo, the person of each market, and safety reports."""

import io
from datetime import date
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from production.labels.models import Assessment, MarketPerson
from production.labels.reads import batch_for_labels, plain_ask
from production.labels.sheets import prepare_label
from soapshop.models import Workshop
from tests.production.label_shop import TODAY, released_batch


@pytest.fixture(autouse=True)
def _day(monkeypatch):
    monkeypatch.setattr(timezone, "localdate", lambda *_: TODAY)


def picture(width=400, height=160):
    written = io.BytesIO()
    Image.new("RGB", (width, height), "#2f5d50").save(written, "PNG")
    return SimpleUploadedFile("logo.png", written.getvalue(), content_type="image/png")


def test_a_logo_is_kept_shown_and_taken_off(owner_client, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    address = reverse("production:label-house-logo")
    assert owner_client.post(address, {"photo": picture()}).status_code == 302
    assert owner_client.get(reverse("production:label-logo")).headers["Content-Type"] == "image/jpeg"
    assert owner_client.get(reverse("production:label-house")).status_code == 200
    assert owner_client.post(address, {"take_off": "1"}).status_code == 302
    assert Workshop.current().logo_name == ""


@pytest.mark.parametrize("file", [SimpleUploadedFile("x.png", b"<svg/>"), picture(900, 20)], ids=["no picture", "line"])
def test_what_cannot_be_a_logo_is_refused(owner_client, file):
    assert owner_client.post(reverse("production:label-house-logo"), {"photo": file}).status_code == 422
    assert Workshop.current().logo_name == ""


def test_a_market_names_its_person_and_a_report_stops_a_higher_dose(owner, owner_client):
    batch = released_batch(owner)

    def prepared():
        ask = plain_ask("plain", workshop=Workshop.current())
        return prepare_label(batch_for_labels().get(pk=batch.pk), ask, workshop=Workshop.current(), on=TODAY)

    Workshop.objects.update(market="eu")
    assert [problem.code for problem in prepared().stops] == ["missing_responsible_person"]
    person = {"market": "eu", "name": "Lena Marks", "address": "Quay 1\n10115 Berlin", "origin": "Made in USA"}
    assert owner_client.post(reverse("production:label-house"), person).status_code == 302
    assert MarketPerson.objects.get().address == "Quay 1, 10115 Berlin"
    assert prepared().face.maker_lines == ("Lena Marks", "Quay 1", "10115 Berlin", "Made in USA")
    assert prepared().stops == ()
    report = {"market": "eu", "assessor": "A. Berg", "report": "R-7", "assessed_on": "2026-06-01"}
    report |= {"revision_number": "1", "most_scent_percent": "2.9", "share_of": "oils"}
    page = reverse("production:label-reports", args=[batch.number])
    assert owner_client.post(page, report | {"revision_number": "9"}).status_code == 200
    assert owner_client.post(page, report).status_code == 302
    kept = Assessment.objects.get()
    assert (kept.assessed_on, kept.most_scent_percent) == (date(2026, 6, 1), Decimal("2.9"))
    assert [problem.code for problem in prepared().stops] == ["scent_over_limit"]
    assert owner_client.get(reverse("production:label-working", args=[batch.number])).status_code == 200
