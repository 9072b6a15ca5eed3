"""Notes and photos of a batch, and batches found by what is in them and how strong their lye was."""

import io
from datetime import date
from decimal import Decimal as D

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from production.batches.asked import BatchRefusal
from production.notes.actions import write_note
from production.notes.lye_strength import lye_percents
from production.notes.models import Note
from production.notes.reads import found_batches
from tests.production.builders import TODAY, planned_batch, started_batch, weigh


def picture() -> SimpleUploadedFile:
    file = io.BytesIO()
    Image.new("RGB", (40, 30), "olive").save(file, "PNG")
    return SimpleUploadedFile("Rack 3.png", file.getvalue(), content_type="image/png")


@pytest.fixture(autouse=True)
def own_files(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


@pytest.mark.parametrize(
    ("alkali", "liquid", "percent"),
    (
        pytest.param("267", "427.2", "38.46", id="C01 267 g of lye in 694.2 g of solution is 38.5 %, worked by hand"),
        pytest.param("100", "200", "33.33", id="one part in three, worked by hand"),
    ),
)
def test_lye_strength_is_alkali_by_solution(alkali, liquid, percent):
    lines = [(7, "alkali", D(alkali)), (7, "liquid", D(liquid)), (8, "liquid", D(300))]
    (found,) = lye_percents(lines, alkali="alkali", liquid="liquid").items()
    assert (found[0], round(found[1], 2)) == (7, D(percent))


def test_case_c93_batches_with_a_scent_above_a_lye_strength_are_found(owner, workshop):
    """C93: one maker's scent fails only with less water, and the question is which batches those were."""
    batch = planned_batch(owner)
    scent = batch.weighings.filter(material__kind="fragrance").first().material.name
    (found,) = found_batches(holds=scent[:5].lower())
    strength = found.lye_percent
    assert (found.batch, found.scents) == (batch, scent)
    assert [row.batch for row in found_batches(holds=scent, lye_above=strength - D("0.1"))] == [batch]
    assert found_batches(holds=scent, lye_above=strength) == []
    assert found_batches(holds=scent, lye_below=strength) == []
    assert found_batches(holds="no such scent") == []


def test_the_strength_follows_what_was_weighed(owner, workshop):
    batch, lots = started_batch(owner)
    (before,) = found_batches()
    water = batch.weighings.filter(tolerance_class="liquid").first()
    weigh(water, lots, owner, grams=water.planned_grams * 2, words="Poured twice")
    (after,) = found_batches()
    assert after.lye_percent < before.lye_percent


def test_words_are_found_in_notes_and_in_what_went_otherwise(owner, workshop):
    batch, lots = started_batch(owner)
    line = batch.weighings.first()
    weigh(line, lots, owner, grams=line.planned_grams * 2, words="The cat jumped")
    write_note(batch_id=batch.pk, on=TODAY, text="Ricing at the edge", by=owner)
    assert [bool(found_batches(words=words)) for words in ("ricing", "CAT JUMPED", "ash")] == [True, True, False]


def test_c93_a_note_is_about_the_batch_a_jug_a_deviation_or_a_week(owner, owner_client, workshop):
    batch, lots = started_batch(owner)
    line = batch.weighings.first()
    weigh(line, lots, owner, grams=line.planned_grams * 2, words="Poured twice")
    wrong, jug = batch.deviations.get(), batch.portions.first()
    address = f"/bench/{batch.number}/notes/"
    for about in ("batch", f"jug:{jug.letter}", f"deviation:{wrong.pk}"):
        typed = {"about": about, "text": "Seen", "on": "2026-05-12"}
        assert owner_client.post(address, typed).status_code == 302
    abouts = {(note.portion_letter, note.deviation_id, note.week) for note in Note.objects.all()}
    assert abouts == {("", None, None), (jug.letter, None, None), ("", wrong.pk, None)}
    page = owner_client.get(address).content.decode()
    assert page.count("Seen") == 3 + 1  # the box for the day is called "Seen on"


def test_a_photo_is_drawn_anew_and_shown_to_signed_in_people_only(owner, owner_client, client, workshop):
    batch = planned_batch(owner)
    typed = {"about": "batch", "text": "", "on": "2026-05-12", "photo": picture()}
    assert owner_client.post(f"/bench/{batch.number}/notes/", typed).status_code == 302
    note = Note.objects.get()
    shown = owner_client.get(f"/bench/{batch.number}/notes/{note.pk}/photo/")
    assert (shown["Content-Type"], shown["X-Content-Type-Options"]) == ("image/jpeg", "nosniff")
    assert Image.open(io.BytesIO(shown.content)).size == (40, 30)
    assert client.get(f"/bench/{batch.number}/notes/{note.pk}/photo/").status_code == 302


@pytest.mark.parametrize(
    ("typed", "sentence"),
    (
        ({"about": "batch", "text": "  ", "on": "2026-05-12"}, "Write a few words, or choose a photo."),
        ({"about": "jug:Z", "text": "x", "on": "2026-05-12"}, "Choose from the list."),
        ({"about": "deviation:999", "text": "x", "on": "2026-05-12"}, "Choose from the list."),
        ({"about": "batch", "text": "x", "on": "2030-05-12"}, "That day is still to come."),
        ({"about": "batch", "text": "x" * 1001, "on": "2026-05-12"}, "A note has at most 1,000 letters."),
        ({"about": "\0", "text": "\0", "on": "never"}, "Choose from the list."),
    ),
)
def test_a_note_that_says_nothing_is_refused(owner, owner_client, workshop, typed, sentence):
    batch = planned_batch(owner)
    answer = owner_client.post(f"/bench/{batch.number}/notes/", typed)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert not Note.objects.exists()


def test_the_same_form_sent_twice_keeps_one_note(owner, owner_client, workshop):
    batch = planned_batch(owner)
    once = "0d5c2a0e-5d1b-4e0e-9d0c-0a4f3a6c1b11"
    for _ in range(2):
        typed = {"about": "batch", "text": "Thick", "on": "2026-05-12", "typed_once": once}
        owner_client.post(f"/bench/{batch.number}/notes/", typed)
    assert Note.objects.count() == 1


def test_a_note_of_another_batchs_trouble_is_refused(owner, workshop):
    batch = planned_batch(owner)
    with pytest.raises(BatchRefusal, match="has no jug Q"):
        write_note(batch_id=batch.pk, on=date(2026, 5, 12), text="x", portion_letter="Q", by=owner)
    with pytest.raises(BatchRefusal, match="was not noted of"):
        write_note(batch_id=batch.pk, on=date(2026, 5, 12), text="x", deviation_id=99, by=owner)


@pytest.mark.parametrize("typed", ("lye_above=abc", "lye_above=-1", "lye_below=101", "lye_above=1.23456789"))
def test_nonsense_in_the_search_is_answered_in_a_sentence(owner_client, typed):
    answer = owner_client.get(f"/bench/notes/?{typed}")
    assert answer.status_code == 422
    assert answer.content.decode().count("field-error") == 1


def test_the_search_asks_the_same_few_questions(owner, owner_client, workshop, django_assert_max_num_queries):
    planned_batch(owner)
    with django_assert_max_num_queries(10):
        assert owner_client.get("/bench/notes/?holds=o&lye_above=5").status_code == 200
