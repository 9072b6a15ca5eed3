"""Draw designs: layers and cells, the parts a bar can carry, and the way it is made."""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from django.db import transaction

from formulas.actions.checks import has_repeats
from formulas.cross_section import PortionError, jug_specs, portion_shares
from formulas.design_drafts import DesignDraft, drawn_drops, drawn_layers
from formulas.design_records import steps_of
from formulas.models import Design, DesignPart, DesignRow, Part, Portion, PortionColor, RouteStep
from formulas.route_records import route_parts, work_ahead
from formulas.routes import (
    RouteRefused,
    Step,
    check_steps,
    finishing_words,
    usual_route,
    with_layer_note,
    with_part_steps,
)
from soapshop.audit import changed_fields, note_event
from soapshop.models import User

FIGURES = ("name", "formula", "mold", "identity", "is_beveled", "is_stamped", "gels", "note", "is_shelved")
CELL_FIGURES = (
    "letter",
    "name",
    "lies",
    "share_percent",
    "color_hex",
    "is_scented",
    "trace",
    "pour_order",
    "accent_percent",
    "carrier_oil",
    "carrier_per_gram",
    "is_carrier_extra",
    "wet_liquid",
    "wet_percent",
    "note",
)


class DesignRefusal(Exception):
    """A design cannot be kept this way; the message says why and the mend."""


@transaction.atomic
def create_design(*, draft: DesignDraft, by: User) -> Design:
    _judge(draft, but_not=None)
    design = Design.objects.create(**_figures(draft))
    is_finished = design.is_beveled or design.is_stamped
    parts = route_parts(wanted.part for wanted in draft.parts)
    steps = (
        draft.steps
        if draft.steps is not None
        else usual_route(
            parts=parts,
            is_finished=is_finished,
            finishing=finishing_words(is_beveled=design.is_beveled, is_stamped=design.is_stamped),
            ahead=work_ahead(design.formula),
        )
    )
    if draft.steps is None and len(draft.layers) > 1:
        steps = with_layer_note(steps)
    _write_content(design, draft)
    _write_steps(design, steps)
    note_event(by=by, verb="create_design", subject=design, text=f"Drew the design {design.name}.")
    return design


@transaction.atomic
def save_design(*, design_id: int, seen_saves: int, draft: DesignDraft, by: User) -> Design:
    """Replace the content of a design; refused when another person saved it meanwhile.

    Where the route is kept, steps for newly added kinds of part join it.
    """
    design = _locked(design_id, seen_saves)
    _judge(draft, but_not=design.pk)
    had_kinds = set(design.parts.values_list("part__kind", flat=True))
    before, after = changed_fields(design, _figures(draft))
    for name, wanted in after.items():
        setattr(design, name, wanted)
    design.saves += 1
    design.save(update_fields=[*after, "saves"])
    design.rows.all().delete()
    design.parts.all().delete()
    _write_content(design, draft)
    steps = draft.steps
    if steps is None:
        new = route_parts(wanted.part for wanted in draft.parts if wanted.part.kind not in had_kinds)
        steps = with_part_steps(steps_of(design), parts=new)
    _write_steps(design, steps)
    note_event(
        by=by, verb="save_design", subject=design, text=f"Changed the design {design.name}.", before=before, after=after
    )
    return design


@transaction.atomic
def save_route(*, design_id: int, seen_saves: int, steps: Sequence[Step], by: User) -> Design:
    """Replace the way a design is made."""
    design = _locked(design_id, seen_saves)
    before = {step.key: _days(step) for step in steps_of(design)}
    _write_steps(design, steps)
    design.saves += 1
    design.save(update_fields=["saves"])
    note_event(
        by=by,
        verb="save_route",
        subject=design,
        text=f"Changed the way {design.name} is made.",
        before=before,
        after={step.key: _days(step) for step in steps},
    )
    return design


def _days(step: Step) -> str:
    return f"{step.anchor} {step.least_days} to {'release' if step.most_days is None else step.most_days}"


def _locked(design_id: int, seen_saves: int) -> Design:
    design = Design.objects.select_for_update().get(pk=design_id)
    if design.saves != seen_saves:
        raise DesignRefusal(
            "Somebody saved this design after you opened it. Your entries are still below: "
            "open the design in a second window, compare, then save yours again."
        )
    return design


def _figures(draft: DesignDraft) -> dict[str, Any]:
    return {name: draft.figures[name] for name in FIGURES if name in draft.figures}


def _judge(draft: DesignDraft, *, but_not: int | None) -> None:
    name = draft.figures["name"]
    others = Design.objects.all() if but_not is None else Design.objects.exclude(pk=but_not)
    if others.filter(name__iexact=name).exists():
        raise DesignRefusal(f"There is a design named “{name}” already. Give this one a name of its own.")
    try:
        rows = drawn_layers(draft.layers)
        drops = drawn_drops(draft.layers)
        portion_shares(rows, drops)
        jug_specs(rows, drops)
    except PortionError as refusal:
        raise DesignRefusal(str(refusal)) from refusal
    _judge_heat(draft)
    parts = [wanted.part.pk for wanted in draft.parts]
    if has_repeats(parts):
        raise DesignRefusal("A part is listed twice. Keep one line for it.")


def _judge_heat(draft: DesignDraft) -> None:
    """Refuse a part that must stay cool and is on the soap while it gels."""
    if not draft.figures.get("gels"):
        return
    for part in (wanted.part for wanted in draft.parts):
        if part.forbids_heat and part.attached_at == Part.AttachedAt.POUR:
            raise DesignRefusal(
                f"{part.name} must stay cool, but it goes on at the pour and this design goes through gel. "
                "Keep the design out of gel, or put the part on after the cut."
            )


def _write_content(design: Design, draft: DesignDraft) -> None:
    for position, layer in enumerate(draft.layers, start=1):
        row = DesignRow.objects.create(design=design, position=position, height_share=layer.height_share)
        for place, cell in enumerate(layer.cells, start=1):
            portion = Portion.objects.create(
                row=row,
                position=place,
                width_share=cell.width_share,
                **{name: getattr(cell, name) for name in CELL_FIGURES},
            )
            PortionColor.objects.bulk_create(
                PortionColor(
                    portion=portion,
                    material=color.material,
                    percent_of_portion_oils=color.percent_of_portion_oils,
                    blend=color.blend,
                )
                for color in cell.colors
            )
    DesignPart.objects.bulk_create(
        DesignPart(
            design=design, part=wanted.part, on_every_bar=wanted.on_every_bar, pieces_per_bar=wanted.pieces_per_bar
        )
        for wanted in draft.parts
    )


def _write_steps(design: Design, steps: Sequence[Step]) -> None:
    try:
        check_steps(steps)
    except RouteRefused as refusal:
        raise DesignRefusal(str(refusal)) from refusal
    design.steps.all().delete()
    RouteStep.objects.bulk_create(
        RouteStep(design=design, position=position, **asdict(step)) for position, step in enumerate(steps, start=1)
    )
