"""Photos: what may come in, what is kept, and how it is shown. Figures: from memory (JPEG and EXIF marks), or ours."""

import io
import zlib
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import RequestFactory
from PIL import Image

from soapshop import photos
from soapshop.photo_forms import PhotoForm
from soapshop.photos import (
    NOT_A_PHOTO,
    PhotoMissing,
    PhotoRefusal,
    open_photo,
    photo_answer,
    read_photo,
    remove_photo,
    remove_photo_after,
    store_photo,
)

TOO_MANY_PIXELS = "This photo has too many pixels. Make it smaller, then choose it again."
ORIENTATION, MAKE = 0x0112, 0x010F  # EXIF tags
TURNED_RIGHT = 6


def picture_file(kind: str = "PNG", size: tuple[int, int] = (40, 20), mode: str = "RGB", **save: object) -> io.BytesIO:
    file = io.BytesIO()
    Image.new(mode, size, (200, 30, 30, 0)[: len(mode)] if mode != "P" else 1).save(file, kind, **save)
    file.seek(0)
    return file


@pytest.fixture(autouse=True)
def _own_folder(settings, tmp_path: Path):
    settings.MEDIA_ROOT = tmp_path


@pytest.mark.parametrize("kind", ("JPEG", "PNG", "WEBP"))
def test_a_picture_is_written_anew_as_jpeg(kind: str):
    photo = read_photo(picture_file(kind))
    assert (photo.width_px, photo.height_px) == (40, 20)
    assert Image.open(io.BytesIO(photo.jpeg)).format == "JPEG"


def test_a_turned_photo_stands_upright_and_loses_the_camera_notes():
    notes = Image.Exif()
    notes[ORIENTATION], notes[MAKE] = TURNED_RIGHT, "Some camera"
    file = picture_file("JPEG", exif=notes)
    assert b"Some camera" in file.getvalue()
    photo = read_photo(file)
    assert (photo.width_px, photo.height_px) == (20, 40)
    assert b"Some camera" not in photo.jpeg
    assert len(Image.open(io.BytesIO(photo.jpeg)).getexif()) == 0


def test_a_large_photo_is_made_smaller_and_keeps_its_proportion():
    photo = read_photo(picture_file("JPEG", (3200, 800)))
    assert (photo.width_px, photo.height_px) == (1600, 400)


def test_what_was_see_through_becomes_white():
    photo = read_photo(picture_file("PNG", mode="RGBA"))
    assert Image.open(io.BytesIO(photo.jpeg)).getpixel((0, 0)) == (255, 255, 255)


def test_a_noisy_photo_is_pressed_until_it_fits(monkeypatch: pytest.MonkeyPatch):
    file = io.BytesIO()
    Image.effect_noise((200, 200), 120).save(file, "PNG")
    loose = len(read_photo(io.BytesIO(file.getvalue())).jpeg)
    monkeypatch.setattr(photos, "MOST_KEPT_BYTES", loose - 1)
    assert len(read_photo(io.BytesIO(file.getvalue())).jpeg) < loose
    monkeypatch.setattr(photos, "MOST_KEPT_BYTES", 10)
    with pytest.raises(PhotoRefusal):
        read_photo(io.BytesIO(file.getvalue()))


def wide_header() -> bytes:
    """Return a PNG that says it is 20,000 pixels wide and high (its header: PNG specification, 11.2.1)."""
    body = bytearray(picture_file("PNG").getvalue())
    body[16:24] = (20_000).to_bytes(4, "big") * 2
    body[29:33] = zlib.crc32(bytes(body[12:29])).to_bytes(4, "big")
    return bytes(body)


@pytest.mark.parametrize(
    ("content", "sentence"),
    (
        pytest.param(b"just words", NOT_A_PHOTO, id="text"),
        pytest.param(b"", NOT_A_PHOTO, id="nothing"),
        pytest.param(b"<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>", NOT_A_PHOTO, id="svg"),
        pytest.param(picture_file("JPEG").getvalue()[:200], NOT_A_PHOTO, id="torn JPEG"),
        pytest.param(picture_file("GIF").getvalue(), NOT_A_PHOTO, id="a format nobody asked for"),
        pytest.param(b"0" * 20_000_001, "This file is larger than 20 MB. Choose a smaller photo.", id="large"),
    ),
)
def test_what_is_no_photo_is_refused(content: bytes, sentence: str):
    with pytest.raises(PhotoRefusal) as refusal:
        read_photo(io.BytesIO(content))
    assert str(refusal.value) == sentence


def test_a_file_of_far_too_many_pixels_is_refused_before_it_is_decoded():
    with pytest.raises(PhotoRefusal) as refusal:
        read_photo(io.BytesIO(wide_header()))
    assert str(refusal.value) == TOO_MANY_PIXELS


def test_a_photo_is_stored_opened_and_removed(tmp_path: Path):
    photo = read_photo(picture_file())
    name = store_photo(photo, shelf="blend")
    with open_photo(name) as file:
        assert file.read() == photo.jpeg
    assert [path.name for path in tmp_path.rglob("*.jpg")] == [Path(name).name]
    remove_photo(name)
    remove_photo(name)
    with pytest.raises(PhotoMissing):
        open_photo(name)


@pytest.mark.parametrize("name", ("", "../shop.sqlite3", "photos/blend/../../shop.sqlite3", "/etc/passwd"))
def test_no_other_file_of_the_disk_is_opened(name: str):
    with pytest.raises(PhotoMissing):
        open_photo(name)


def test_a_shelf_is_a_word():
    with pytest.raises(ValueError, match="A shelf is a word"):
        store_photo(read_photo(picture_file()), shelf="../blend")


@pytest.mark.django_db
def test_a_photo_goes_only_once_the_transaction_stands(django_capture_on_commit_callbacks):
    name = store_photo(read_photo(picture_file()), shelf="blend")
    with django_capture_on_commit_callbacks(execute=True), transaction.atomic():
        remove_photo_after(name)
        open_photo(name).close()
    with pytest.raises(PhotoMissing):
        open_photo(name)


def test_the_answer_lets_nothing_act_and_is_not_sent_twice():
    name = store_photo(read_photo(picture_file()), shelf="blend")
    first = photo_answer(RequestFactory().get("/"), name)
    assert first.status_code == 200
    assert first.headers["Content-Type"] == "image/jpeg"
    assert first.headers["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert first.headers["Cache-Control"] == "private, no-cache"
    again = photo_answer(RequestFactory().get("/", headers={"If-None-Match": first.headers["ETag"]}), name)
    assert again.status_code == 304


def test_the_box_hands_on_a_photo_or_says_what_to_do():
    good = PhotoForm({}, {"photo": SimpleUploadedFile("bar.png", picture_file().getvalue())})
    assert good.is_valid()
    assert good.cleaned_data["photo"].width_px == 40
    bad = PhotoForm({}, {"photo": SimpleUploadedFile("bar.png", b"words")})
    assert bad.errors["photo"] == [NOT_A_PHOTO]
    assert PhotoForm({}, {}).errors["photo"] == ["Choose a photo first."]
