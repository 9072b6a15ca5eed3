"""The pages of color blends, and a blend poured in a jug."""

from decimal import Decimal
from io import BytesIO
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from formulas.models import ColorBlend, Design
from soapshop.models import User
from tests.formulas.builders import colorant, draft_formula, loaf
from tests.formulas.test_design_views import CREAM, drawn
from tests.formulas.test_formula_views import text_of

pytestmark = pytest.mark.django_db
NEW = "formulas:blend-new"


def rows(*parts: tuple[str, str], **more: str) -> dict[str, str]:
    data = {"name": "Dune", "color_hex": "#c9b38a", "rows-TOTAL_FORMS": str(len(parts)), "rows-INITIAL_FORMS": "0"}
    for place, (name, count) in enumerate(parts):
        data |= {f"rows-{place}-material": name, f"rows-{place}-parts": count}
    return data | {"save": "1"} | more


@pytest.fixture
def colors(owner: User) -> None:
    colorant("Yellow oxide", by=owner)
    colorant("Brown oxide", by=owner)


TWO = (("yellow oxide", "3"), ("Brown oxide", "1"))


def test_a_blend_is_kept_with_its_parts(owner_client: Client, colors):
    response = owner_client.post(reverse(NEW), rows(*TWO, learned="Turns darker in gel.", dose_high_percent="1"))
    made = ColorBlend.objects.get()
    assert response.headers["Location"] == made.get_absolute_url()
    page = text_of(owner_client.get(made.get_absolute_url()))
    # Worked by hand: three and one of four parts.
    for words in ("75.0", "25.0", "Turns darker in gel.", "No design has it yet."):
        assert words in page
    assert "3 Yellow oxide, 1 Brown oxide" in text_of(owner_client.get(reverse("formulas:blend-list")))


@pytest.mark.parametrize(
    ("typed", "sentence"),
    (
        (rows(), "This blend has no colorant yet. Name at least one, with its parts."),
        (rows(("Brown oxide", "")), "How many parts of it? Type such as 1."),
        (rows(("Brown oxide", "0")), "A colorant has more than 0 and at most 1,000 parts."),
        (rows(("Brown oxide", "lots")), "That is not a number. Type one such as 12.5."),
        (rows(("", "1")), "Which colorant? Name it, or clear its parts."),
        (rows(("Brown oxide", "1"), ("Brown oxide", "2")), "A colorant stands there twice."),
        (rows(*TWO, name="brown oxide"), "A material is named “brown oxide” too. Give the blend a name of its own."),
        (rows(*TWO, dose_low_percent="2", dose_high_percent="1"), "The lower dose cannot be more than the upper one."),
        (rows(*TWO, dose_high_percent="40"), "A dose lies above 0 and at most 10 percent of the oils in the jug."),
        (rows(*TWO, name=""), "What is this shade called? Name it, such as dune."),
    ),
)
def test_a_blend_that_cannot_be_mixed_is_refused_and_kept(owner_client: Client, colors, typed: dict, sentence: str):
    response = owner_client.post(reverse(NEW), typed)
    assert response.status_code == 200
    assert sentence in text_of(response)
    assert not ColorBlend.objects.exists()


def test_a_blend_is_changed_and_an_unknown_one_is_not_found(owner_client: Client, colors):
    owner_client.post(reverse(NEW), rows(*TWO))
    url = reverse("formulas:blend-edit", args=[ColorBlend.objects.get().pk])
    assert 'value="Yellow oxide"' in owner_client.get(url).content.decode()
    owner_client.post(url, rows(("Brown oxide", "2"), name="Peat"))
    made = ColorBlend.objects.get()
    assert (made.name, [str(part) for part in made.parts.all()]) == ("Peat", ["2 Brown oxide"])
    assert owner_client.get(reverse("formulas:blend", args=[999])).status_code == 404


@pytest.fixture
def shelf(owner: User, colors) -> dict[str, str]:
    return {"formula": str(draft_formula(by=owner).formula_id), "mold": str(loaf(by=owner).pk)}


def test_a_blend_in_a_jug_is_weighed_as_its_colorants(owner_client: Client, shelf: dict):
    owner_client.post(reverse(NEW), rows(*TWO))
    dune = {"letter": "B", "name": "dune", "color_0": "dune", "dose_0": "0.9"}
    owner_client.post(reverse("formulas:design-new"), drawn(shelf, CREAM, ("1", [dune])))
    design = Design.objects.for_page().get()
    colors = design.rows.all()[1].portions.get().colors.all()
    # Worked by hand: 0.9 % in parts of 3 and 1.
    assert [(color.material.name, color.percent_of_portion_oils, str(color.blend)) for color in colors] == [
        ("Yellow oxide", Decimal("0.675"), "Dune"),
        ("Brown oxide", Decimal("0.225"), "Dune"),
    ]
    page = owner_client.get(reverse("formulas:design-edit", args=[design.pk])).content.decode()
    assert 'value="Dune"' in page
    assert 'value="0.9"' in page
    assert design.name in text_of(owner_client.get(ColorBlend.objects.get().get_absolute_url()))


def test_swirl_drops_and_carrier_oil_are_drawn_and_come_back(owner_client: Client, shelf: dict):
    swirl = {"letter": "B", "name": "gold", "lies": "swirl", "share": "20", "color_0": "yellow oxide", "dose_0": "0.5",
             "carrier": "olive oil", "wets": "2"}  # fmt: skip
    drops = {"letter": "C", "name": "plain", "lies": "drop", "share": "10"}
    owner_client.post(reverse("formulas:design-new"), drawn(shelf, ("1", [CREAM[1][0], swirl, drops])))
    design = Design.objects.for_page().get()
    response = owner_client.get(design.get_absolute_url())
    filling = response.context["page"].filling
    # Worked by hand: drops 10 %; a fifth of the other 90 % is swirled in.
    shares = {jug.letter: round(jug.share_fraction, 6) for jug in filling.jugs}
    assert shares == {"A": Decimal("0.72"), "B": Decimal("0.18"), "C": Decimal("0.1")}
    gold = next(jug for jug in filling.jugs if jug.letter == "B")
    assert gold.held_back_oil_grams == (2 * gold.colors[0].grams).quantize(Decimal("0.001"))
    page = response.content.decode()
    assert "swirled with B gold 20 percent" in page
    assert "Drops of C plain, 10 percent." in page
    assert "The jugs want 3 to 6 minutes of pouring" in text_of(response)
    edit = owner_client.get(reverse("formulas:design-edit", args=[design.pk])).content.decode()
    for kept in ('<option value="swirl" selected>', '<option value="drop" selected>', 'value="Olive oil"'):
        assert kept in edit


@pytest.mark.parametrize(
    ("boxes", "sentence"),
    (
        ({"lies": "swirl"}, "How much of it? Type a percent above 0 and below 100, such as 10."),
        ({"lies": "drop", "share": "100"}, "How much of it? Type a percent above 0 and below 100, such as 10."),
        ({"lies": "cell", "share": "5"}, "A cell goes by its width. Choose a swirl or drops, or clear the percent."),
        ({"wets": "2"}, "Which oil? Name it, or clear its grams."),
        ({"carrier": "olive oil"}, "How much oil for a gram of color? Type such as 2."),
        ({"carrier": "whale oil", "wets": "2"}, "“whale oil” is not among your materials."),
        ({"carrier": "olive oil", "wets": "90"}, "A gram of color takes from 0 to 20 g of oil."),
    ),
)
def test_swirls_and_carriers_that_make_no_sense_are_refused(
    owner_client: Client, shelf: dict, boxes: dict, sentence: str
):
    second = {"letter": "B", "name": "gold"} | boxes
    response = owner_client.post(reverse("formulas:design-new"), drawn(shelf, ("1", [CREAM[1][0], second])))
    assert sentence in text_of(response)
    assert not Design.objects.exists()


def test_a_layer_of_nothing_but_swirls_is_refused(owner_client: Client, shelf: dict):
    only = {"letter": "B", "name": "gold", "lies": "swirl", "share": "20"}
    response = owner_client.post(reverse("formulas:design-new"), drawn(shelf, ("1", [only])))
    assert "Draw at least one layer with one color." in text_of(response)


@pytest.fixture
def folder(settings, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


def snapshot(color: str) -> SimpleUploadedFile:
    file = BytesIO()
    Image.new("RGB", (30, 20), color).save(file, "PNG")
    return SimpleUploadedFile("IMG 1.png", file.getvalue(), "image/png")


def test_a_photo_of_a_shade_is_kept_shown_replaced_and_taken_away(
    owner_client: Client, colors, folder: Path, django_capture_on_commit_callbacks
):
    owner_client.post(reverse(NEW), rows(*TWO))
    shade = ColorBlend.objects.get()
    url = reverse("formulas:blend-photo", args=[shade.pk])
    assert owner_client.get(url).status_code == 404
    owner_client.post(url, {"photo": snapshot("red")})
    shown = owner_client.get(url)
    assert (shown.status_code, shown.headers["Content-Type"]) == (200, "image/jpeg")
    assert f'src="{url}"' in owner_client.get(shade.get_absolute_url()).content.decode()
    assert Client().get(url).status_code == 302  # a visitor who is not signed in
    with django_capture_on_commit_callbacks(execute=True):
        owner_client.post(url, {"photo": snapshot("blue")})
    assert len(list(folder.rglob("*.jpg"))) == 1
    with django_capture_on_commit_callbacks(execute=True):
        owner_client.post(url, {"remove": "1"})
    assert list(folder.rglob("*.jpg")) == []
    assert "has no photo to take away" in text_of(owner_client.post(url, {"remove": "1"}, follow=True))


def test_a_file_that_is_no_photo_is_refused_on_the_page(owner_client: Client, colors, folder: Path):
    owner_client.post(reverse(NEW), rows(*TWO))
    url = reverse("formulas:blend-photo", args=[ColorBlend.objects.get().pk])
    answer = owner_client.post(url, {"photo": SimpleUploadedFile("bar.png", b"words")})
    assert answer.status_code == 422
    assert "This file cannot be read as a photo. Choose one saved as JPEG, PNG or WebP." in text_of(answer)
    assert not ColorBlend.objects.get().photo
