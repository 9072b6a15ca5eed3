"""One design all the way: drawn, ordered, planned, printed. Three layers, the middle one in three cells."""

from dataclasses import replace
from decimal import Decimal

import pytest
from django.utils import timezone

from formulas.actions.designs import DesignRefusal, create_design
from formulas.design_drafts import CellDraft, ColorDraft, DesignDraft, DesignPartDraft, LayerDraft
from formulas.design_records import design_drawing
from formulas.models import Design, Material
from production.batches.actions.planning import plan_batches
from production.batches.asked import BatchRefusal
from production.batches.models import Batch
from production.batches.pictures import drawn_bar
from production.batches.records import plan_of
from production.batches.ticket import ticket_paper
from production.documents.batch_ticket import batch_ticket_pdf
from soapshop.units import format_grams
from tests.production.builders import TODAY, make_formula, make_mold, make_order, make_part, material
from tests.production.pdf_reading import page_texts

pytestmark = pytest.mark.django_db


def mica(name: str) -> Material:
    return Material.objects.get_or_create(
        key=name.lower(), defaults={"name": f"{name} mica", "kind": "colorant", "grams_per_teaspoon": Decimal("2.6")}
    )[0]


def jug(letter: str, name: str, width: str = "1", **more) -> CellDraft:
    color = ColorDraft(mica(name.title()), Decimal("0.5"))
    return CellDraft(letter=letter, name=name, width_share=Decimal(width), colors=(color,), **more)


LAYERS = (
    (Decimal(2), (("A", "sand", "1"),)),
    (Decimal(1), (("B", "fern", "1"), ("C", "plum", "2"), ("D", "rust", "1"))),
    (Decimal(1), (("E", "slate", "1"),)),
)


def worked_layers() -> tuple[LayerDraft, ...]:
    return tuple(
        LayerDraft(height, tuple(jug(*cell, pour_order=number) for cell in cells))
        for number, (height, cells) in enumerate(LAYERS, start=1)
    )


def draw(by, layers: tuple[LayerDraft, ...], name: str = "Quarry", **figures) -> Design:
    revision = make_formula(by, name)
    parts = (
        DesignPartDraft(make_part("seal", "seal"), on_every_bar=True),
        DesignPartDraft(make_part("shell", "topper")),
    )
    wanted = {"name": name, "formula": revision.formula, "mold": make_mold(f"Loaf for {name}"), "is_beveled": True}
    return create_design(draft=DesignDraft(figures=wanted | figures, layers=layers, parts=parts), by=by)


def planned(by, workshop, design: Design) -> Batch:
    workshop.bar_spare_percent, workshop.bar_spare_least = Decimal(0), 0
    workshop.save(update_fields=["bar_spare_percent", "bar_spare_least"])
    order = make_order(by, design, 12, parts={"seal": 12, "shell": 5})
    (batch,) = plan_batches(order_id=order.pk, today=TODAY, pour_on=TODAY, by=by)
    return Batch.objects.for_page().get(pk=batch.pk)


def ticket_of(batch: Batch, workshop):
    return ticket_paper(
        batch, workshop=workshop, printed_at=timezone.now(), printed_by="Owner", scan_text=batch.number, copy_number=1
    )


@pytest.fixture
def batch(owner, workshop) -> Batch:
    return planned(owner, workshop, draw(owner, worked_layers()))


def test_the_jugs_add_up_to_the_batter(batch: Batch):
    jugs = {portion.letter: portion.grams for portion in plan_of(batch).portions}
    assert sum(jugs.values()) == plan_of(batch).batter_grams
    # Worked by hand: heights 2, 1, 1 of 4; the middle layer is split 1, 2, 1 of 4.
    shares = {letter: round(grams / plan_of(batch).batter_grams, 4) for letter, grams in jugs.items()}
    expected = {"A": "0.5", "B": "0.0625", "C": "0.125", "D": "0.0625", "E": "0.25"}
    assert shares == {letter: Decimal(share) for letter, share in expected.items()}


def test_each_jug_has_its_color_by_the_oils_in_it(batch: Batch):
    plan = plan_of(batch)
    assert sum(portion.oils_grams for portion in plan.portions) == plan.oils_grams
    for portion in plan.portions:
        (color,) = portion.colors
        assert color.grams == (portion.oils_grams * Decimal("0.005")).quantize(Decimal("0.001"))
        assert color.teaspoons == (color.grams / Decimal("2.6")).quantize(Decimal("0.01"))
    colors = batch.weighings.filter(phase="portion").values_list("portion_letter", flat=True)
    assert list(colors) == ["A", "B", "C", "D", "E"]


def test_a_topper_on_five_and_a_seal_on_all(batch: Batch):
    plan = plan_of(batch)
    # Worked by hand: 25 % and at least 2 of 5 toppers are 2; 10 % and at least 1 of 12 seals are 2.
    assert {part.name: (part.pieces, part.spares) for part in plan.parts} == {"Seal": (12, 2), "Shell": (5, 2)}
    finishes = {finish.part_keys: finish.bars for finish in plan.finishes}
    assert sorted((tuple(sorted(keys)), bars) for keys, bars in finishes.items()) == [
        (("seal",), 7),
        (("seal", "shell"), 5),
    ]


def test_the_ticket_says_it_all_in_words(batch: Batch, workshop):
    paper = ticket_of(batch, workshop)
    assert sum(line.grams for line in paper.portions) == paper.total_grams
    assert [line.letter for line in paper.portions] == ["A", "B", "C", "D", "E"]
    text = " ".join(page_texts(batch_ticket_pdf(paper)))
    for line in paper.portions:
        assert f"{line.grams:,} g".replace(",", "") in text.replace(",", "")
        assert line.name in text
    assert "Set in Shell, 5 pieces." in text
    assert "Bevel the edges of every bar once firm." in text
    assert "attach Seal to the bars with soap paste, 12 pieces." in text


def test_the_ticket_shows_the_face_of_the_design_in_the_mold_it_is_poured_in(batch: Batch, workshop):
    face, design = ticket_of(batch, workshop).drawing, design_drawing(Design.objects.for_page().get())
    assert face is not None
    assert (face.look, face.width_mm, face.height_mm) == (design.look, design.width_mm, design.height_mm)
    assert [(part.name, part.on_bars) for part in face.parts] == [("Seal", "every bar"), ("Shell", "5 of 12 bars")]


def swirled(**oil) -> tuple[LayerDraft, ...]:
    """One layer of A with 20 % of B swirled in, and 10 % of the bar in drops of C."""
    swirl = replace(jug("B", "fern", pour_order=2), lies="swirl", share_percent=Decimal(20), **oil)
    drops = replace(jug("C", "plum", pour_order=3), lies="drop", share_percent=Decimal(10))
    return (LayerDraft(Decimal(1), (jug("A", "sand"), swirl, drops)),)


def test_swirls_and_drops_reach_jugs_picture_and_ticket(owner, workshop):
    batch = planned(owner, workshop, draw(owner, swirled()))
    plan = plan_of(batch)
    # Worked by hand: drops 10 % of all; of the other 90 % a fifth is swirled in: 18 %, leaving 72 %.
    shares = {portion.letter: round(portion.grams / plan.batter_grams, 4) for portion in plan.portions}
    assert shares == {"A": Decimal("0.72"), "B": Decimal("0.18"), "C": Decimal("0.1")}
    bar = drawn_bar(plan)
    assert ([swirl.letter for swirl in bar.rows[0].swirls], [drop.letter for drop in bar.drops]) == (["B"], ["C"])
    text = " ".join(page_texts(batch_ticket_pdf(ticket_of(batch, workshop))))
    assert "swirl it through" in text
    assert "drop it over the bar" in text


def test_oil_held_back_for_the_colors_stays_in_the_sum(owner, workshop):
    oil = {"carrier_oil": material("olive"), "carrier_per_gram": Decimal(3)}
    batch = planned(owner, workshop, draw(owner, swirled(**oil)))
    plan = plan_of(batch)
    fern = next(portion for portion in plan.portions if portion.letter == "B")
    assert fern.held_back_grams == (3 * fern.colors[0].grams).quantize(Decimal("0.001"))
    assert sum(portion.grams for portion in plan.portions) == plan.batter_grams
    assert fern.superfat_percent > plan.superfat.planned
    assert not batch.weighings.filter(phase="portion", material=material("olive")).exists()
    text = " ".join(page_texts(batch_ticket_pdf(ticket_of(batch, workshop))))
    assert f"Set aside: {format_grams(fern.held_back_grams)} of Olive oil for jug B." in text


def test_oil_on_top_is_weighed_and_lifts_its_jug(owner, workshop):
    oil = {"carrier_oil": material("olive"), "carrier_per_gram": Decimal(3), "is_carrier_extra": True}
    batch = planned(owner, workshop, draw(owner, swirled(**oil)))
    fern = next(portion for portion in plan_of(batch).portions if portion.letter == "B")
    line = batch.weighings.get(phase="portion", material=material("olive"))
    assert (line.portion_letter, round(line.planned_grams, 1)) == ("B", round(fern.extra_oil_grams, 1))
    assert fern.held_back_grams == 0


def test_case_c50_a_liquid_for_one_jug_is_on_the_ticket_and_in_its_water(owner, workshop):
    """case-C50: each jug's own water is told; 10 % of aloe juice of 98 % water in the swirl alone."""
    wet = {"wet_liquid": material("aloe"), "wet_percent": Decimal(10)}
    batch = planned(owner, workshop, draw(owner, swirled(**wet)))
    plan = plan_of(batch)
    sand, fern = (next(portion for portion in plan.portions if portion.letter == letter) for letter in "AB")
    assert (fern.wet_liquid, fern.wet_grams) == ("Aloe juice", (fern.grams / 10).quantize(Decimal("0.001")))
    line = batch.weighings.get(phase="portion", material=material("aloe"))
    assert (line.portion_letter, round(line.planned_grams, 1)) == ("B", round(fern.wet_grams, 1))
    # Worked by hand: of 110 parts, 100 hold the pot's water and 10 hold 98 %.
    expected = (sand.water_percent * 100 + Decimal(98) * 10) / 110
    assert abs(fern.water_percent - expected) < Decimal("0.001")
    text = " ".join(page_texts(batch_ticket_pdf(ticket_of(batch, workshop))))
    assert "Aloe juice on top" in text


def test_an_oil_that_the_formula_lacks_cannot_be_held_back(owner, workshop):
    stray = Material.objects.create(key="almond", name="Almond oil", kind="fat", sap_plan=Decimal(192))
    design = draw(owner, swirled(carrier_oil=stray, carrier_per_gram=Decimal(3)))
    with pytest.raises(BatchRefusal, match="of Almond oil for its colors, but the batch has"):
        planned(owner, workshop, design)


def test_a_part_that_must_stay_cool_is_refused_where_the_design_gels(owner):
    """case-C55: oven heat melted the toppers."""
    part = make_part("shell", "topper")
    part.forbids_heat = True
    part.save(update_fields=["forbids_heat"])
    with pytest.raises(DesignRefusal, match="Shell must stay cool, but it goes on at the pour"):
        draw(owner, worked_layers(), gels=True)
    assert draw(owner, worked_layers(), "Cool quarry", gels=False).pk
