"""What the demo shop mixes and tries: shades with a photo, a pot of parts, test pours."""

from datetime import date, timedelta
from decimal import Decimal
from io import BytesIO

from PIL import Image, ImageDraw

from formulas.actions.blends import BlendPartDraft, create_blend, keep_blend_photo
from formulas.models import ColorBlend
from production.batches.actions.after_pour import cut_batch
from production.batches.models import Batch
from production.demo.bench import make_batch
from production.demo.book import Book
from production.demo.rack import weigh_weekly
from production.demo.shelf import Shelf
from production.part_batches.actions import plan_part_batch, pour_part_batch, shelve_part_batch
from production.part_batches.models import PartBatch, PartWeighing
from production.stock.models import Lot
from production.test_pours.actions import approve_test_pour, plan_test_pour
from soapshop.models import User
from soapshop.photos import read_photo

# Shade, swatch, dose, what was learned, colorants with their parts.
BLENDS = (
    (
        "Dune rope",
        "#c9a46b",
        ("0.3", "0.8"),
        "Warm gold in an ungelled loaf; turns toward brown in gel. Wet it first, or it specks.",
        (("mica", "3"), ("iron_oxide", "1")),
    ),
    (
        "Harbor dusk",
        "#4a5f78",
        ("0.4", "1.0"),
        "Grays the lather above 1 %. Holds its blue next to white.",
        (("ultramarine", "5"), ("iron_oxide_black", "1")),
    ),
)
SEAL_POT_DAYS_AGO, SEALS = 5, 60
NEW_SCENT_DAYS_AGO, APPROVED_DAYS_AGO = 19, 40


def mix_blends(shelf: Shelf, *, by: User) -> dict[str, ColorBlend]:
    """Mix the shades and return them by name; the first has a photo, drawn here because the shop is invented."""
    mixed = {}
    for place, (name, swatch, (low, high), learned, parts) in enumerate(BLENDS):
        blend = create_blend(
            figures={
                "name": name,
                "color_hex": swatch,
                "dose_low_percent": Decimal(low),
                "dose_high_percent": Decimal(high),
                "learned": learned,
            },
            parts=[BlendPartDraft(shelf[word], Decimal(share)) for word, share in parts],
            by=by,
        )
        if place == 0:
            keep_blend_photo(blend_id=blend.pk, photo=read_photo(_drawn_bars(swatch)), by=by)
        mixed[name] = blend
    return mixed


def _drawn_bars(swatch: str) -> BytesIO:
    """Draw three bars on a board, the middle layer in the shade."""
    picture = Image.new("RGB", (720, 480), "#b9a184")
    pen = ImageDraw.Draw(picture)
    for row in range(0, 480, 60):
        pen.line((0, row, 720, row + 14), fill="#ac9376", width=3)
    for place, left in enumerate((60, 280, 500)):
        top, right, bottom = 130 + 22 * (place % 2), left + 160, 370 + 22 * (place % 2)
        pen.rounded_rectangle((left + 10, top + 14, right + 10, bottom + 14), 14, fill="#8a7559")
        pen.rounded_rectangle((left, top, right, bottom), 14, fill="#efe5d2")
        pen.polygon([(left, top + 90), (right, top + 62), (right, top + 150), (left, top + 178)], fill=swatch)
        pen.rounded_rectangle((left, top, right, bottom), 14, outline="#d8cab0", width=4)
    file = BytesIO()
    picture.save(file, "PNG")
    file.seek(0)
    return file


def make_pots_of_parts(book: Book, *, today: date, by: User) -> None:
    """Press seals from a small pot of dough, and plan the shells for the next pour."""
    made_on = today - timedelta(days=SEAL_POT_DAYS_AGO)
    pot = plan_part_batch(part_id=book.parts["seal-knot"].pk, pieces=SEALS, make_on=made_on, by=by)
    pour_part_batch(part_batch_id=pot.pk, weights=_weights(pot), made_on=made_on, by=by)
    note = "Wrapped by tens, box 2."
    shelve_part_batch(part_batch_id=pot.pk, pieces=SEALS - 2, use_by=None, note=note, by=by)
    shells = book.parts["topper-shell"].pk
    plan_part_batch(part_id=shells, pieces=30, make_on=today + timedelta(days=2), by=by)


def _weights(pot: PartBatch) -> dict[int, tuple[str, Decimal]]:
    lines = pot.weighings.select_related("material")
    return {line.pk: (_lot(line).code, line.planned_grams) for line in lines}


def _lot(line: PartWeighing) -> Lot:
    lot = Lot.objects.filter(material_id=line.material_id, grams_left__gte=line.planned_grams).drawable().first()
    if lot is None:
        raise ValueError(f"The demo shelf holds too little {line.material} for {line.part_batch}.")
    return lot


def pour_tests(book: Book, *, today: date, by: User) -> None:
    """One test pour that its design was approved from, and one of a new scent that waits for its judgment."""
    kept = _poured(book, "Garden Wall", APPROVED_DAYS_AGO, "Does the lilac hold beside the stone?", today=today, by=by)
    approve_test_pour(
        test_pour_id=kept.test_pour.pk,
        learned="Slow to trace, twenty minutes at hand. The lilac stays; pour it at medium trace, or it sinks in.",
        on=today - timedelta(days=APPROVED_DAYS_AGO - 22),
        by=by,
    )
    _poured(
        book,
        "Fog Bell",
        NEW_SCENT_DAYS_AGO,
        "How fast is the new scent, and what does it do to white?",
        today=today,
        by=by,
    )


def _poured(book: Book, design: str, days_ago: int, tries: str, *, today: date, by: User) -> Batch:
    """Pour, cut and weigh three bars of a design."""
    pour_on = today - timedelta(days=days_ago)
    pour = plan_test_pour(
        design_id=book.designs[design].pk,
        mold_id=book.molds["Half loaf, 6 bars"].pk,
        bars=3,
        pour_on=pour_on,
        tries=tries,
        today=pour_on,
        by=by,
    )
    make_batch(pour.batch_id, "poured", pour=pour_on, today=today, by=by)
    batch = cut_batch(
        batch_id=pour.batch_id,
        on=pour_on + timedelta(days=2),
        bars_by_finish={"plain": 3},
        spoiled=0,
        mean_bar_grams=(pour.batch.batter_grams * Decimal("0.95") / 3).quantize(Decimal("0.1")),
        by=by,
    )
    weigh_weekly(batch, "curing", today=today, by=by)
    return batch
