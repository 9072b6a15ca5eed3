"""Keep the parts that are made or bought ahead: embeds, toppers, seals, dough."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils.text import slugify

from formulas.actions.checks import has_repeats, is_name_taken
from formulas.models import Formula, Part
from formulas.part_contents import IngredientDraft, approved_contents, write_contents
from soapshop.audit import changed_fields, note_event
from soapshop.models import User

LONGEST_KEY = 40
SHARES_LEAST_PERCENT, SHARES_MOST_PERCENT = Decimal("99.5"), Decimal("100.5")


class PartRefusal(Exception):
    """A part cannot be kept this way; the message says why and the mend."""


@transaction.atomic
def create_part(*, figures: dict[str, Any], ingredients: Sequence[IngredientDraft], by: User) -> Part:
    part = Part(key=free_key(figures["name"]), **figures)
    _judge(part, ingredients)
    part.save(force_insert=True)
    _write_contents(part, ingredients)
    note_event(by=by, verb="create_part", subject=part, text=f"Added the part {part.name}.", after=figures)
    return part


@transaction.atomic
def save_part(*, part_id: int, figures: dict[str, Any], ingredients: Sequence[IngredientDraft], by: User) -> Part:
    """Write what changed; the short key stays, so that finishes of past orders still mean this part."""
    part = Part.objects.select_for_update().get(pk=part_id)
    before, after = changed_fields(part, figures)
    before["ingredients"] = {row.material.name: row.percent for row in part.ingredients.select_related("material")}
    for field, wanted in after.items():
        setattr(part, field, wanted)
    _judge(part, ingredients)
    if after:
        part.save(update_fields=list(after))
    written = _write_contents(part, ingredients)
    after["ingredients"] = {row.material.name: row.percent for row in written}
    note_event(by=by, verb="save_part", subject=part, text=f"Changed the part {part.name}.", before=before, after=after)
    return part


def free_key(name: str) -> str:
    """Return a short key from the name that no other part has."""
    base = slugify(name)[: LONGEST_KEY - 4].strip("-") or "part"
    key, number = base, 2
    while key == "plain" or Part.objects.filter(key=key).exists():
        key, number = f"{base}-{number}", number + 1
    return key


def follow_formula(*, formula: Formula, by: User) -> tuple[Part, ...]:
    """Write anew what the parts of a formula are made of. Call it in the transaction that approves a revision."""
    parts = tuple(formula.parts.select_for_update())
    for part in parts:
        write_contents(part, approved_contents(formula))
        note_event(by=by, verb="follow_formula", subject=part, text=f"What {part.name} is made of follows {formula}.")
    return parts


def _judge(part: Part, ingredients: Sequence[IngredientDraft]) -> None:
    if is_name_taken(part, part.name):
        raise PartRefusal(f"There is a part named “{part.name}” already. Give this one a name of its own.")
    if part.is_bought and part.formula_id is not None:
        raise PartRefusal("A bought part is not made from a formula. Take the tick out, or clear the formula.")
    if part.formula_id is not None and ingredients:
        raise PartRefusal("What this part is made of follows from its formula. Clear the ingredients below.")
    if has_repeats(row.material.pk for row in ingredients):
        raise PartRefusal("A material stands there twice. Add the shares up in one line.")
    total = sum((row.percent for row in ingredients), Decimal(0))
    if ingredients and not SHARES_LEAST_PERCENT <= total <= SHARES_MOST_PERCENT:
        raise PartRefusal(f"The ingredients add up to {total.normalize():f} %, not 100 %. Correct the shares.")
    if part.made_ahead_least_days > part.made_ahead_most_days:
        raise PartRefusal("The least days ahead cannot be more than the most. Swap the two figures.")
    if part.batter_grams is not None and part.batter_grams < part.unit_grams:
        raise PartRefusal(
            "A piece dries and grows lighter: it takes at least the batter it weighs. Correct the weights."
        )


def _write_contents(part: Part, ingredients: Sequence[IngredientDraft]) -> tuple[IngredientDraft, ...]:
    contents = tuple(ingredients) if part.formula is None else approved_contents(part.formula)
    write_contents(part, contents)
    return contents
