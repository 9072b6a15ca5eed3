"""The workshop's logo on labels: drawn anew on the way in, kept as long as a printed label shows it."""

from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from soapshop.audit import note_event
from soapshop.models import User, Workshop
from soapshop.photos import Photo, store_photo

ASPECT_PLACES = Decimal("0.0001")
# Longer than this it would be a line, not a logo (own choice).
MOST_ASPECT = 8
SHELF = "logo"
LOGO_FIELDS = ["logo_name", "logo_width_px", "logo_height_px"]


class LogoRefused(Exception):
    """This picture cannot be the logo; the message says why and the mend."""


@dataclass(frozen=True)
class Logo:
    file_name: str
    aspect: Decimal  # width by height


def logo_of(workshop: Workshop) -> Logo | None:
    if not workshop.logo_name:
        return None
    aspect = Decimal(workshop.logo_width_px) / workshop.logo_height_px
    return Logo(workshop.logo_name, aspect.quantize(ASPECT_PLACES))


@transaction.atomic
def keep_logo(*, photo: Photo, by: User) -> Workshop:
    """Keep a picture as the logo of labels printed from now on; labels printed before keep theirs."""
    if max(photo.width_px, photo.height_px) > MOST_ASPECT * min(photo.width_px, photo.height_px):
        raise LogoRefused(f"A logo is at most {MOST_ASPECT} times as long as it is high. Crop it first.")
    workshop = Workshop.objects.select_for_update().get(pk=Workshop.current().pk)
    workshop.logo_width_px, workshop.logo_height_px = photo.width_px, photo.height_px
    workshop.logo_name = store_photo(photo, shelf=SHELF)
    workshop.save(update_fields=LOGO_FIELDS)
    text = f"Kept a logo of {photo.width_px} × {photo.height_px} dots for labels."
    note_event(by=by, verb="keep_logo", subject=workshop, text=text)
    return workshop


@transaction.atomic
def take_logo_off(*, by: User) -> None:
    """Offer no logo any more. The file stays, because printed labels show it."""
    workshop = Workshop.objects.select_for_update().get(pk=Workshop.current().pk)
    if not workshop.logo_name:
        raise LogoRefused("No logo is kept, so none can be taken off.")
    workshop.logo_name, workshop.logo_width_px, workshop.logo_height_px = "", 0, 0
    workshop.save(update_fields=LOGO_FIELDS)
    note_event(by=by, verb="take_logo_off", subject=workshop, text="Took the logo off the labels.")
