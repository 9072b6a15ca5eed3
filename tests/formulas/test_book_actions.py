"""The verbs of the book of formulas beside its pages: traces, locks, and what other apps ask of designs."""

from decimal import Decimal

import pytest

from formulas.actions.designs import DesignRefusal, create_design, save_design, save_route
from formulas.actions.revisions import FormulaRefusal, LineDraft, create_formula, save_draft
from formulas.design_drafts import CellDraft, ColorDraft, DesignDraft, DesignPartDraft, LayerDraft
from formulas.design_records import design_drawing, steps_of
from formulas.models import Design, Formula, FormulaRevision
from formulas.routes import Step
from soapshop.models import AuditEvent, User
from tests.formulas.builders import (
    approved_formula,
    colorant,
    draft_formula,
    loaf,
    reference_lines,
    seal,
    striped_design,
)

pytestmark = pytest.mark.django_db


def test_every_verb_leaves_a_trace(owner: User):
    design = striped_design(by=owner, parts=(seal(by=owner),))
    save_route(design_id=design.pk, seen_saves=0, steps=[Step("pour", "Pour")], by=owner)
    told = list(AuditEvent.objects.order_by("pk").values_list("verb", flat=True))
    assert told == [
        "create_part",
        *["create_material"] * 5,
        "create_formula",
        "create_material",
        "create_mold",
        "create_design",
        "save_route",
    ]


def test_a_material_stands_in_a_stage_once(owner: User):
    lines = reference_lines(by=owner)
    with pytest.raises(FormulaRefusal, match="Olive oil stands there twice"):
        create_formula(name="Twice", figures={}, lines=[lines[0], *lines], by=owner)
    assert not Formula.objects.exists()
    in_two_places = [*lines, LineDraft(lines[4].material, "trace", Decimal(2))]
    assert create_formula(name="Two places", figures={}, lines=in_two_places, by=owner).lines.count() == 6


def test_a_draft_saved_in_between_keeps_what_was_saved(owner: User, maker: User):
    lines = reference_lines(by=owner)
    draft = draft_formula(by=owner, lines=lines)
    figures = {"superfat_percent": Decimal(6)}
    save_draft(revision_id=draft.pk, seen_saves=0, figures=figures, lines=lines[:3], by=owner)
    with pytest.raises(FormulaRefusal, match="Somebody saved this draft after you opened it"):
        save_draft(revision_id=draft.pk, seen_saves=0, figures={"superfat_percent": Decimal(9)}, lines=[], by=maker)
    kept = FormulaRevision.objects.get()
    assert (kept.superfat_percent, kept.lines.count()) == (Decimal(6), 3)


def test_an_approved_revision_is_never_saved_again(owner: User):
    frozen = approved_formula(by=owner)
    with pytest.raises(FormulaRefusal, match="is approved and stays as it is"):
        save_draft(revision_id=frozen.pk, seen_saves=0, figures={}, lines=[], by=owner)
    assert frozen.lines.count() == 5


def test_a_part_added_later_brings_its_steps(owner: User):
    design = striped_design(by=owner)
    assert "attach_seals" not in [step.key for step in steps_of(design)]
    figures = {"name": design.name, "formula": design.formula, "mold": design.mold, "identity": "Soap"}
    layers = (LayerDraft(Decimal(1), (CellDraft("A", "cream"),)),)
    draft = DesignDraft(figures, layers, parts=(DesignPartDraft(seal(by=owner)),))
    save_design(design_id=design.pk, seen_saves=0, draft=draft, by=owner)
    assert [step.key for step in steps_of(design)].count("attach_seals") == 1
    without = [step for step in steps_of(design) if step.key != "attach_seals"]
    save_route(design_id=design.pk, seen_saves=1, steps=without, by=owner)
    save_design(design_id=design.pk, seen_saves=2, draft=draft, by=owner)
    assert "attach_seals" not in [step.key for step in steps_of(design)]


def test_a_route_that_cannot_be_followed_leaves_the_design_as_it_was(owner: User):
    design = striped_design(by=owner)
    before = steps_of(design)
    with pytest.raises(DesignRefusal, match="The pour is missing"):
        save_route(design_id=design.pk, seen_saves=0, steps=[Step("cut", "Cut")], by=owner)
    assert steps_of(Design.objects.get()) == before


def test_a_part_is_listed_once(owner: User):
    part = seal(by=owner)
    figures = {"name": "Twice", "formula": draft_formula(by=owner).formula, "mold": loaf(by=owner)}
    layers = (LayerDraft(Decimal(1), (CellDraft("A", "cream"),)),)
    draft = DesignDraft(figures, layers, parts=(DesignPartDraft(part), DesignPartDraft(part, on_every_bar=True)))
    with pytest.raises(DesignRefusal, match="A part is listed twice"):
        create_design(draft=draft, by=owner)


def test_one_letter_means_one_jug(owner: User):
    green = colorant("Harbor green", by=owner)
    figures = {"name": "Odd", "formula": draft_formula(by=owner).formula, "mold": loaf(by=owner)}
    cells = (CellDraft("A", "cream"), CellDraft("A", "cream", colors=(ColorDraft(green, Decimal(1)),)))
    with pytest.raises(DesignRefusal, match="Jug A is drawn in two places with different contents"):
        create_design(draft=DesignDraft(figures, (LayerDraft(Decimal(1), cells),)), by=owner)


def test_the_picture_of_an_order_shows_its_own_parts(owner: User):
    part = seal(by=owner)
    striped_design(by=owner, parts=(part,))
    design = Design.objects.for_page().get()
    assert [drawn.on_bars for drawn in design_drawing(design).parts] == ["every bar"]
    assert [drawn.on_bars for drawn in design_drawing(design, bars_by_part={part.pk: "5 of 12 bars"}).parts] == [
        "5 of 12 bars"
    ]
    assert design_drawing(design, bars_by_part={}).parts == ()


def test_the_face_is_as_high_as_the_mold_is_filled(owner: User):
    # Worked by hand: 70 mm less 2.5 % is 68.25 mm.
    striped_design(by=owner)
    bar = design_drawing(Design.objects.for_page().get())
    assert (bar.width_mm, bar.height_mm) == (Decimal(89), Decimal("68.25"))
