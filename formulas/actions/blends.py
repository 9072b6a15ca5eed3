"""Keep the color blends: their colorants in parts, how much a jug takes, and what was learned."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import transaction

from formulas.actions.checks import has_repeats, is_name_taken
from formulas.models import ColorBlend, ColorBlendPart, Material
from soapshop.audit import changed_fields, note_event
from soapshop.models import User
from soapshop.photos import Photo, remove_photo_after, store_photo


class BlendRefusal(Exception):
    """A blend cannot be kept this way; the message says why and the mend."""


@dataclass(frozen=True)
class BlendPartDraft:
    """One colorant with its parts by weight."""

    material: Material
    parts: Decimal


@transaction.atomic
def create_blend(*, figures: dict[str, Any], parts: Sequence[BlendPartDraft], by: User) -> ColorBlend:
    blend = ColorBlend(**figures)
    _judge(blend, parts)
    blend.save(force_insert=True)
    _write_parts(blend, parts)
    note_event(by=by, verb="create_blend", subject=blend, text=f"Added the color blend {blend.name}.", after=figures)
    return blend


@transaction.atomic
def save_blend(*, blend_id: int, figures: dict[str, Any], parts: Sequence[BlendPartDraft], by: User) -> ColorBlend:
    """Write what changed. Designs keep the doses they were drawn with until they are saved again."""
    blend = ColorBlend.objects.select_for_update().get(pk=blend_id)
    before, after = changed_fields(blend, figures)
    before["parts"] = {part.material.name: part.parts for part in blend.parts.select_related("material")}
    for field, wanted in after.items():
        setattr(blend, field, wanted)
    _judge(blend, parts)
    if after:
        blend.save(update_fields=list(after))
    blend.parts.all().delete()
    _write_parts(blend, parts)
    after["parts"] = {part.material.name: part.parts for part in parts}
    text = f"Changed the color blend {blend.name}."
    note_event(by=by, verb="save_blend", subject=blend, text=text, before=before, after=after)
    return blend


@transaction.atomic
def keep_blend_photo(*, blend_id: int, photo: Photo | None, by: User) -> ColorBlend:
    """Keep a photo of the shade in the place of the one before; None takes it away."""
    blend = ColorBlend.objects.select_for_update().get(pk=blend_id)
    if photo is None and not blend.photo:
        raise BlendRefusal(f"{blend.name} has no photo to take away.")
    if blend.photo:
        remove_photo_after(blend.photo)
    blend.photo = "" if photo is None else store_photo(photo, shelf="blend")
    blend.save(update_fields=["photo"])
    text = f"{'Took away' if photo is None else 'Kept'} a photo of {blend.name}."
    note_event(by=by, verb="keep_blend_photo", subject=blend, text=text)
    return blend


def _judge(blend: ColorBlend, parts: Sequence[BlendPartDraft]) -> None:
    if is_name_taken(blend, blend.name):
        raise BlendRefusal(f"There is a blend named “{blend.name}” already. Give this one a name of its own.")
    if Material.objects.filter(name__iexact=blend.name).exists():
        raise BlendRefusal(f"A material is named “{blend.name}” too. Give the blend a name of its own.")
    if not parts:
        raise BlendRefusal("This blend has no colorant yet. Name at least one, with its parts.")
    if has_repeats(part.material.pk for part in parts):
        raise BlendRefusal("A colorant stands there twice. Add its parts up in one line.")
    low, high = blend.dose_low_percent, blend.dose_high_percent
    if low is not None and high is not None and low > high:
        raise BlendRefusal("The lower dose cannot be more than the upper one. Swap the two figures.")


def _write_parts(blend: ColorBlend, parts: Sequence[BlendPartDraft]) -> None:
    ColorBlendPart.objects.bulk_create(
        ColorBlendPart(blend=blend, material=part.material, parts=part.parts) for part in parts
    )
