"""What a careful shop keeps beside its batches: scales checked each bench day, notes, what suppliers sell, a timer."""

from datetime import date, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from formulas.models import Material
from production.batch_states import BatchState
from production.batches.models import Batch
from production.demo.shelf import SETTINGS, Shelf
from production.notes.actions import write_note
from production.scales.actions import check_scale, save_scale
from production.scales.models import Scale, ScaleCheck
from production.shopping.actions import save_offer
from production.stock.models import Supplier
from production.timers.actions import start_timer
from soapshop.models import User

# Name, takes at most, steps, test weight, all in grams; where it stands.
SCALES = (
    ("Bench scale", "15000", "1", "5000", "long table"),
    ("Lye scale", "3000", "0.1", "500", "by the window"),
    ("Fine scale", "300", "0.01", "50", "scent shelf"),
)
# What the test weight shows beside its mass, in steps of the scale, one day after the other.
WANDERS = (0, 1, 0, -1, 0)
# Material, pack in grams, price of a pack.
PACKS = (
    ("olive", "5000", "38.50"),
    ("coconut", "5000", "27.00"),
    ("palm", "5000", "21.50"),
    ("castor", "1000", "9.40"),
)
RACK_NOTES = (
    (1, "Top has gone from matte to a light sheen. Edges firm."),
    (2, "Scent softer than on the day of the cut, still clear."),
    (3, "No ash, no spots. Corners ring when tapped."),
)
BENCH_NOTE = "Thickened faster than last time: stop the stick blender at a thin trace and stir by hand."


def set_up_scales(*, by: User) -> None:
    for name, most, step, test, place in SCALES:
        figures = {"max_grams": Decimal(most), "step_grams": Decimal(step), "test_grams": Decimal(test), "place": place}
        save_scale(by=by, figures={"name": name} | figures)


def check_scales(*, on: date, by: User) -> None:
    """Put the test weights on, once a day."""
    if ScaleCheck.objects.filter(on=on).exists():
        return
    for place, scale in enumerate(Scale.objects.in_use()):
        off = scale.step_grams * WANDERS[(on.toordinal() + place) % len(WANDERS)]
        check_scale(scale_id=scale.pk, shown_grams=scale.test_grams + off, on=on, by=by)


def write_notes(*, today: date, by: User) -> None:
    """Note what was seen week by week on the newest rack, and at the pour of the newest batch before it."""
    on_rack = Batch.objects.filter(status=BatchState.CURING.value, poured_on__isnull=False).order_by("-poured_on", "pk")
    for batch in on_rack[:2]:
        poured = batch.poured_on or today
        write_note(batch_id=batch.pk, on=poured, text=BENCH_NOTE, by=by)
        for week, text in RACK_NOTES:
            day = poured + timedelta(weeks=week)
            if day <= today:
                write_note(batch_id=batch.pk, on=day, text=text, week=week, by=by)


def start_timers(*, by: User) -> None:
    """Leave one running: what was poured last stands covered since that evening."""
    poured = Batch.objects.filter(status=BatchState.POURED.value).order_by("-poured_on", "pk").first()
    if poured is not None and poured.poured_on is not None:
        at = datetime.combine(poured.poured_on, time(18, 10), tzinfo=ZoneInfo(SETTINGS["time_zone"]))
        start_timer(batch_id=poured.pk, what="Covered, in gel", minutes=18 * 60, at=at, by=by)


def list_packs(shelf: Shelf, *, by: User) -> None:
    supplier = Supplier.objects.order_by("name").first()
    if supplier is None:
        return
    for key, grams, price in PACKS:
        material: Material = shelf[key]
        save_offer(supplier_id=supplier.pk, material=material, pack_grams=Decimal(grams), price=Decimal(price), by=by)
