"""The worked design pressed through the pages: drawn, ordered, accepted, planned, and on the ticket."""

import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from formulas.drawing import bar_cross_section_svg
from formulas.models import Design, Material, Mold, Part
from orders.models import Order
from production.batches.models import Batch
from production.batches.pictures import drawn_bar
from production.batches.records import plan_of
from soapshop.clock import workshop_today
from tests.formulas.test_formula_views import text_of
from tests.production.builders import make_formula, make_mold, make_part
from tests.production.pdf_reading import page_texts

pytestmark = pytest.mark.django_db

# From the bottom up: height in parts, then jugs from the left with their width in parts and their color.
LAYERS = (
    ("2", (("A", "sand", "1", "#e8dfc8"),)),
    ("1", (("B", "fern", "1", "#2f5d3a"), ("C", "plum", "2", "#5b2a4e"), ("D", "rust", "1", "#a4512f"))),
    ("1", (("E", "slate", "1", "#39434a"),)),
)


@pytest.fixture
def shelf(owner, workshop) -> dict[str, str]:
    """Return what stands in the book before the design is drawn, as form entries."""
    workshop.bar_spare_percent, workshop.bar_spare_least = Decimal(0), 0
    workshop.save(update_fields=["bar_spare_percent", "bar_spare_least"])
    for _, cells in LAYERS:
        for _, name, _, _ in cells:
            Material.objects.create(
                key=name, name=f"{name.title()} mica", kind="colorant", grams_per_teaspoon=Decimal("2.6")
            )
    make_part("seal", "seal"), make_part("shell", "topper")
    return {"formula": str(make_formula(owner).formula_id), "mold": str(make_mold("Loaf of twelve").pk)}


def design_entries(shelf: dict[str, str]) -> dict[str, str]:
    seal, shell = Part.objects.get(key="seal"), Part.objects.get(key="shell")
    data = {
        "name": "Quarry", "identity": "Soap", "is_beveled": "on", "is_stamped": "on", "color_count": "2", "save": "1",
        "layers-TOTAL_FORMS": str(len(LAYERS)), "layers-INITIAL_FORMS": "0",
        "parts-TOTAL_FORMS": "2", "parts-INITIAL_FORMS": "0",
        "parts-0-part": str(seal.pk), "parts-0-where": "every", "parts-0-pieces": "1",
        "parts-1-part": str(shell.pk), "parts-1-where": "some", "parts-1-pieces": "1",
    } | shelf  # fmt: skip
    for place, (height, cells) in enumerate(LAYERS):
        data |= {f"layers-{place}-height": height}
        data |= {
            f"layers-{place}-cells-TOTAL_FORMS": str(len(cells)),
            f"layers-{place}-cells-INITIAL_FORMS": "0",
        }
        for number, (letter, name, width, tone) in enumerate(cells):
            boxes = {"letter": letter, "name": name, "width": width, "tone": tone, "trace": "light", "lies": "cell"}
            boxes |= {"is_scented": "on", "color_0": f"{name} mica", "dose_0": "0.5", "pour_order": str(place + 1)}
            data |= {f"layers-{place}-cells-{number}-{box}": entry for box, entry in boxes.items()}
    return data


def order_entries(design: Design) -> dict[str, str]:
    return {
        "lines-TOTAL_FORMS": "1", "lines-INITIAL_FORMS": "0", "hand_over": "pick_up", "travel_days": "0",
        "new_customer": "Tilda Ross", "needed_by": "2027-08-07", "lines-0-design": str(design.pk),
        "lines-0-bars": "12", "lines-0-wording": "T & S",
    }  # fmt: skip


@pytest.fixture
def batch(owner_client: Client, shelf: dict[str, str]) -> Batch:
    """Press the design through: draw it, order 12 bars with a topper on 5, accept, plan."""
    post = owner_client.post
    assert post(reverse("formulas:design-new"), design_entries(shelf)).status_code == 302
    design = Design.objects.get()
    post(reverse("orders:order-new"), order_entries(design))
    order = Order.objects.get()
    line = order.lines.get()
    parts = {f"part_{Part.objects.get(key=key).pk}": bars for key, bars in (("shell", "5"), ("seal", "12"))}
    typed = {"bars": "12", "wording": "T & S", "price_per_bar": "7.50", "seen_saves": str(order.saves)}
    post(reverse("orders:line-edit", args=[order.number, line.pk]), typed | parts)
    for stage in ("quoted", "accepted"):
        post(reverse("orders:order-move", args=[order.number]), {"to": stage})
    post(
        reverse("production:order-plan", args=[order.number]),
        {"pour_on": (workshop_today() + timedelta(days=4)).isoformat()},
    )
    return Batch.objects.get()


def test_the_worked_design_goes_from_the_drawing_to_the_ticket(batch: Batch, owner_client: Client):
    plan = plan_of(batch)
    ticket = b"".join(owner_client.get(reverse("production:batch-ticket", args=[batch.number])))
    text = " ".join(page_texts(ticket))
    found = re.findall(r"([A-E]) (\w+) pour (\d), light trace (\w+) mica ([\d.]+) g \(([\d.]+) tsp\) ([\d,]+) g", text)
    jugs = {letter: (name, int(order)) for letter, name, order, *_ in found}
    assert jugs == {"A": ("sand", 1), "B": ("fern", 2), "C": ("plum", 2), "D": ("rust", 2), "E": ("slate", 3)}
    grams = {letter: Decimal(printed.replace(",", "")) for letter, *_, printed in found}
    assert sum(grams.values()) == plan.batter_grams.quantize(Decimal(1))
    # Worked by hand: heights 2, 1, 1 of 4; the middle layer is split 1, 2, 1 of 4.
    shares = {"A": "0.5", "B": "0.0625", "C": "0.125", "D": "0.0625", "E": "0.25"}
    for letter, share in shares.items():
        assert abs(grams[letter] - plan.batter_grams * Decimal(share)) < 1
    # Worked by hand: 0.5 % of the oils in the jug; a level spoon weighs 2.6 g.
    for letter, _, _, color, weight, spoons, _ in found:
        dose = plan.oils_grams * Decimal(shares[letter]) * Decimal("0.005")
        assert (color.lower(), abs(Decimal(weight) - dose) < Decimal("0.01")) == (jugs[letter][0], True)
        assert abs(Decimal(spoons) - dose / Decimal("2.6")) < Decimal("0.06")  # kept to 0.01, printed to 0.1
        assert f"{color} mica ({letter})" in text
    # Worked by hand: 25 % and at least 2 of 5 toppers are 2; 10 % and at least 1 of 12 seals are 2.
    assert "7 Shell, 2 spare, at the pour" in text
    assert "14 Seal, 2 spare, after the cut" in text
    assert "5 Seal + Shell" in text or "5 Shell + Seal" in text


def test_case_c56_the_words_of_the_stamp_are_the_customers_and_stand_on_the_ticket(batch: Batch, owner_client: Client):
    """case-C56: a stamp's text is the customer's copy: it is approved on the sheet and set from the ticket."""
    ticket = b"".join(owner_client.get(reverse("production:batch-ticket", args=[batch.number])))
    order = Order.objects.get()
    assert f"Set the stamp letter by letter: “T & S” for order {order.number}." in " ".join(page_texts(ticket))


def test_the_same_face_is_drawn_wherever_the_bar_is_named(batch: Batch, owner_client: Client):
    order, design = Order.objects.get(), Design.objects.get()
    line = order.lines.get()
    face = drawn_bar(plan_of(batch))
    picture = bar_cross_section_svg(face, is_small=True)
    areas = re.findall(r' d="M[^"]+Z" fill="#[0-9a-f]{6}"', picture)[:5]
    assert [area[-8:-1] for area in areas] == [tone for _, cells in LAYERS for *_, tone in cells]
    pages = {
        "order": reverse("orders:line-picture", args=[order.number, line.pk]),
        "plan of the order": reverse("production:order-plan", args=[order.number]),
        "plan": reverse("production:plan"),
        "bench": reverse("production:bench"),
        "designs": reverse("formulas:design-list"),
    }
    for name, address in pages.items():
        shown = owner_client.get(address).content.decode()
        assert [area for area in areas if area not in shown] == [], name
        assert "<title>Quarry</title>" in shown
    assert pages["order"] in owner_client.get(order.get_absolute_url()).content.decode()
    assert "Shell on 5 of 12 bars." in owner_client.get(pages["order"]).content.decode()
    assert text_of(owner_client.get(design.get_absolute_url())).count("slate") >= 1
    assert Mold.objects.get().name in text_of(owner_client.get(batch.get_absolute_url()))
