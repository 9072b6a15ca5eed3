"""Photos of the workshop: drawn anew on the way in, kept outside the web root, shown to signed-in people only.

Nothing of an uploaded file is kept as it came: its picture is decoded, bounded, turned upright and written anew as a
JPEG without the camera's notes (place, device, time). A row remembers only the name that ``store_photo`` gives.
"""

import io
import re
import secrets
from dataclasses import dataclass
from functools import partial
from typing import IO

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.utils.cache import get_conditional_response
from PIL import Image, ImageOps

MOST_UPLOAD_BYTES = 20_000_000  # a phone's largest JPEG stays below it
MOST_UPLOAD_PIXELS = 64_000_000
LONGEST_SIDE_PIXELS = 1600
MOST_KEPT_BYTES = 1_000_000
QUALITIES = (82, 70, 55, 35)  # of the JPEG, tried in turn until it fits
FORMATS = ("JPEG", "PNG", "WEBP")
# Shelf and name as store_photo makes them: nothing else is ever looked up on the disk.
KEPT_NAME = re.compile(r"photos/[a-z]{1,20}/[0-9a-f]{32}\.jpg")
LONGEST_NAME = 80

NOT_A_PHOTO = "This file cannot be read as a photo. Choose one saved as JPEG, PNG or WebP."
TOO_MANY_PIXELS = "This photo has too many pixels. Make it smaller, then choose it again."


class PhotoRefusal(Exception):
    """A file cannot be kept as a photo; the message says why and the mend."""


class PhotoMissing(Exception):
    """The file of a photo is not on the disk."""


@dataclass(frozen=True)
class Photo:
    """A photo as it will be kept: JPEG without the camera's notes."""

    jpeg: bytes
    width_px: int
    height_px: int


def read_photo(upload: IO[bytes]) -> Photo:
    """Return an uploaded file drawn anew, at most 1600 pixels long and 1 MB large. Raises PhotoRefusal."""
    start = upload.read(MOST_UPLOAD_BYTES + 1)
    if len(start) > MOST_UPLOAD_BYTES:
        raise PhotoRefusal("This file is larger than 20 MB. Choose a smaller photo.")
    try:
        picture = _upright(io.BytesIO(start))
    except PhotoRefusal:
        raise
    except Image.DecompressionBombError as fault:
        raise PhotoRefusal(TOO_MANY_PIXELS) from fault
    # Pillow reports a broken or hostile file with whichever of these its decoder met.
    except (OSError, ValueError, SyntaxError, EOFError, TypeError, OverflowError) as fault:
        raise PhotoRefusal(NOT_A_PHOTO) from fault
    return Photo(_jpeg(picture), *picture.size)


def _upright(file: IO[bytes]) -> Image.Image:
    """Return the picture as it is looked at, in three colors; what was see-through becomes white."""
    with Image.open(file, formats=FORMATS) as opened:
        if opened.width * opened.height > MOST_UPLOAD_PIXELS:
            raise PhotoRefusal(TOO_MANY_PIXELS)
        # Lets the decoder of a JPEG skip what would be thrown away anyhow.
        opened.draft("RGB", (LONGEST_SIDE_PIXELS, LONGEST_SIDE_PIXELS))
        picture = ImageOps.exif_transpose(opened)
        picture.thumbnail((LONGEST_SIDE_PIXELS, LONGEST_SIDE_PIXELS))
        if not picture.has_transparency_data:
            return picture.convert("RGB")
        layered = picture.convert("RGBA")
        return Image.alpha_composite(Image.new("RGBA", layered.size, "white"), layered).convert("RGB")


def _jpeg(picture: Image.Image) -> bytes:
    for quality in QUALITIES:
        written = io.BytesIO()
        # A bare copy: neither the camera's notes nor its color profile goes with it.
        Image.frombytes("RGB", picture.size, picture.tobytes()).save(written, "JPEG", quality=quality, optimize=True)
        if written.tell() <= MOST_KEPT_BYTES:
            return written.getvalue()
    raise PhotoRefusal("This photo stays larger than 1 MB. Crop it, then choose it again.")


def store_photo(photo: Photo, *, shelf: str) -> str:
    """Write the photo to the disk and return the name to keep in the row. ``shelf`` is a word such as "blend".

    Call it last in the transaction: a file whose row is never written would only lie about.
    """
    name = f"photos/{shelf}/{secrets.token_hex(16)}.jpg"
    if not KEPT_NAME.fullmatch(name):
        raise ValueError(f"A shelf is a word of small letters, not {shelf!r}.")
    return default_storage.save(name, ContentFile(photo.jpeg))


def open_photo(name: str) -> IO[bytes]:
    """Open a kept photo to read it. Raises PhotoMissing."""
    if not KEPT_NAME.fullmatch(name):
        raise PhotoMissing("There is no photo of this name. Keep one first.")
    try:
        return default_storage.open(name)
    except FileNotFoundError as fault:
        raise PhotoMissing("The file of this photo is gone from the disk. Keep the photo once more.") from fault


def remove_photo(name: str) -> None:
    """Take a kept photo off the disk; one that is gone already is left at that."""
    if KEPT_NAME.fullmatch(name):
        default_storage.delete(name)


def remove_photo_after(name: str) -> None:
    """Take a kept photo off the disk as soon as the present transaction stands."""
    transaction.on_commit(partial(remove_photo, name))


def photo_answer(request: HttpRequest, name: str) -> HttpResponse:
    """Answer with a kept photo. The view decides who may see it. Raises PhotoMissing."""
    with open_photo(name) as file:
        answer = HttpResponse(file.read(), content_type="image/jpeg")
    etag = f'"{name.rpartition("/")[2].removesuffix(".jpg")}"'
    answer.headers["ETag"] = etag
    answer.headers["Cache-Control"] = "private, no-cache"
    answer.headers["Content-Disposition"] = 'inline; filename="photo.jpg"'
    # Nothing in it can act, even when it is opened by itself.
    answer.headers["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return get_conditional_response(request, etag=etag, response=answer)  # type: ignore[return-value]
