"""The ticket of a real batch: every row, caution and box is in its text layer, on both papers and from the command."""

import json
from dataclasses import replace
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from formulas.models import FormulaRevision
from production.batches.actions.bench import undo_weighing
from production.batches.actions.cancelling import cancel_batch
from production.batches.actions.printing import count_ticket, ticket_pdf
from production.batches.cautions import cautions
from production.batches.models import Batch
from production.batches.records import freeze_material, plan_of
from soapshop.models import Workshop
from soapshop.units import format_grams
from tests.production.builders import material, planned_batch, weigh, weighed_batch
from tests.production.pdf_reading import page_sizes_mm, page_texts


def ticket(batch: Batch, **given) -> list[str]:
    read = Batch.objects.for_page().get(pk=batch.pk)
    told = {"printed_at": timezone.now(), "printed_by": "Ines", "scan_text": "https://shop.example/b"}
    return page_texts(ticket_pdf(read, **told | given))


def plain(text: str) -> str:
    return " ".join(text.split())


@pytest.fixture
def batch(owner, workshop):
    return planned_batch(owner, bars=10, parts={"seal": 10, "shell": 4}, wording="Ada")


def test_rule_g23_every_row_of_the_weigh_out_is_on_the_paper(batch):
    text = plain(" ".join(ticket(batch)))
    for line in batch.weighings.all():
        assert line.material.name in text
        grams = line.planned_grams.normalize()
        assert f"{grams:,f}" in text or f"{grams:f}" in text


def test_rule_g23_head_parts_yield_release_and_page_numbers_are_on_the_paper(batch):
    pages = ticket(batch)
    text = plain(" ".join(pages))
    order = batch.serves.get().line.order
    for part in (
        batch.number,
        "Moor base",
        order.number,
        "Seal",
        "Shell",
        "Sum weighed",
        format_grams(batch.batter_grams, places=0),
        "In the molds",
        "Bars cut",
        "Superfat from weights",
        "Deviations closed",
        f"of {len(pages)}",
    ):
        assert part in text, part
    assert all(batch.number in page for page in pages)


# By the numbers of the list in test_ticket_items; those that come from the sample record alone stand there.
OF_EVERY_TICKET = (
    (6, "Area clear; pot, mold and mixer clean"),
    (7, "Scales checked today"),
    (8, "All lots here, released, in date"),
    (9, "Goggles, gloves, apron, sleeves on"),
    (16, "Scale"),
    (18, "Check"),
    (23, "Pot before lye, on the scale"),
    (24, "What was odd"),
    (25, "Left in pot and jugs"),
    (26, "Weigh on"),
    (27, "Free alkali in alcohol"),
    (28, "Superfat from weights"),
    (29, "Samples kept"),
    (30, "Labels: version and count"),
    (31, "Deviations closed"),
    (32, "released held rejected"),
)


def test_rule_g23_a_real_batch_brings_the_items_that_no_formula_gives(batch):
    text = plain(" ".join(ticket(batch)))
    assert [item for item in OF_EVERY_TICKET if item[1] not in text] == []


def test_a_ticket_of_a_revision_that_a_newer_one_has_followed_says_so(owner, batch):
    sentence = "Revision 2 of Moor base is approved by now; this ticket is older."
    assert sentence not in plain(" ".join(ticket(batch)))
    newer = batch.revision
    FormulaRevision.objects.filter(pk=newer.pk).update(status=FormulaRevision.Status.RETIRED)
    newer.pk, newer.number = None, 2
    newer.save(force_insert=True)
    assert sentence in plain(" ".join(ticket(batch)))


def test_the_paper_names_no_customer_and_no_price(batch):
    assert "Mara" not in " ".join(ticket(batch))


def test_rule_g22_every_caution_of_the_batch_is_on_the_paper(batch):
    text = plain(" ".join(ticket(batch)))
    for caution in cautions(plan_of(batch)):
        assert caution.text in text


@pytest.mark.parametrize(
    ("change", "topic"),
    (
        pytest.param({"speeds_trace": True}, "rushes the batter", id="a scent that speeds trace"),
        pytest.param({"flash_point_c": Decimal(45)}, "flash point 45 °C", id="a scent that flashes below 50 °C"),
    ),
)
def test_rule_g22_each_trigger_brings_its_topic_and_no_other(batch, change, topic):
    plan = plan_of(batch)
    assert not [each for each in cautions(plan) if topic in each.text]
    materials = tuple(replace(each, **change) if each.kind == "fragrance" else each for each in plan.materials)
    assert [each.step for each in cautions(replace(plan, materials=materials)) if topic in each.text] == ["trace"]


def test_rule_g22_sugars_in_the_liquid_bring_their_topic(batch):
    plan = plan_of(batch)
    assert not [each for each in cautions(plan) if each.text.startswith("Sugars")]
    sweet = replace(plan, materials=(*plan.materials, freeze_material(material("aloe"))))
    assert [each.step for each in cautions(sweet) if each.text.startswith("Sugars")] == ["lye"]


def test_rule_g21_the_lye_step_warns_of_the_metals_it_eats(batch):
    warnings = [each.text for each in cautions(plan_of(batch)) if each.step == "lye"]
    assert "Plastic or stainless steel: lye eats aluminum, tin and zinc and frees hydrogen." in warnings


@pytest.mark.parametrize(("size", "millimeters"), (("letter", (216, 279)), ("a4", (210, 297))))
def test_the_ticket_fits_both_papers(batch, size, millimeters):
    shop = Workshop.current()
    shop.paper_size = size
    shop.save()
    read = Batch.objects.for_page().get(pk=batch.pk)
    pdf = ticket_pdf(read, printed_at=timezone.now(), printed_by="Ines", scan_text="x")
    sizes = page_sizes_mm(pdf)
    assert [(round(width), round(height)) for width, height in sizes] == [millimeters] * len(sizes)
    assert len(sizes) == 1


def test_a_copy_counts_and_is_numbered(owner, batch):
    assert "copy 2" not in " ".join(ticket(batch)).lower()
    count_ticket(batch_id=batch.pk, by=owner)
    assert "copy 2" in " ".join(ticket(batch)).lower()


def test_a_cancelled_batch_says_so_on_its_ticket(owner, batch):
    sentence = "This batch is cancelled: do not make from this ticket."
    assert sentence not in plain(" ".join(ticket(batch)))
    cancel_batch(batch_id=batch.pk, reason="Mold broke", by=owner)
    assert sentence in plain(" ".join(ticket(batch)))


def run(*arguments) -> str:
    out = StringIO()
    call_command("batch_ticket", *arguments, stdout=out)
    return out.getvalue()


def test_the_command_writes_the_pdf(batch, tmp_path):
    path = tmp_path / "ticket.pdf"
    run(batch.number, "--pdf", str(path))
    assert batch.number in " ".join(page_texts(path.read_bytes()))


def test_the_command_prints_the_figures(batch):
    figures = json.loads(run(batch.number.lower(), "--json"))
    assert figures["batch"] == batch.number
    planned = [float(line.planned_grams) for line in batch.weighings.all()]
    assert [line["planned_grams"] for line in figures["weighings"]] == planned
    assert figures["superfat_percent"]["from_weights"] is None


def test_the_command_tells_what_was_weighed(owner, workshop):
    batch, lots = weighed_batch(owner)
    first, *_ = batch.weighings.all()
    undo_weighing(weighing_id=first.pk, reason="Again", by=owner)
    weigh(first, lots, owner, grams=first.accept_high_grams)
    line = json.loads(run(batch.number, "--json"))["weighings"][0]
    assert (line["lot"], line["actual_grams"]) == (lots[first.material_id], float(first.accept_high_grams))


@pytest.mark.parametrize("arguments", [("B99-999",), ("B99-999", "--json")])
def test_the_command_refuses_an_unknown_batch_with_status_2(workshop, arguments):
    with pytest.raises(CommandError) as refusal:
        run(*arguments)
    assert (refusal.value.returncode, str(refusal.value)) == (
        2,
        "There is no batch B99-999. Look at the numbers on Bench.",
    )


def test_the_command_refuses_a_file_it_cannot_write_with_status_2(batch, tmp_path):
    with pytest.raises(CommandError) as refusal:
        run(batch.number, "--pdf", str(tmp_path / "nowhere" / "ticket.pdf"))
    assert refusal.value.returncode == 2
