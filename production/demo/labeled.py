"""The labels of the demo shop: a logo, who answers abroad, and three printings, one of them counted."""

import io
from dataclasses import replace
from datetime import date
from typing import Any

from PIL import Image, ImageDraw

from production.batches.models import Batch
from production.batches.records import plan_of
from production.documents.label_records import LabelLayout
from production.labels.actions import print_labels
from production.labels.bars import bars_by_finish
from production.labels.choices import Accent, Elsewhere
from production.labels.counting import count_labels
from production.labels.house_actions import keep_person
from production.labels.logos import keep_logo
from production.labels.models import LabelPrint
from production.labels.reads import plain_ask, wordings_of
from soapshop.models import User, Workshop
from soapshop.photos import read_photo

SPARE = 2


def label_bars(*, today: date, by: User) -> None:
    """Print what is packed: a label with the logo, the customer's words on a second sticker, and a round label."""
    keep_logo(photo=read_photo(_drawn_logo()), by=by)
    keep_person(
        market="eu",
        name="Kontor Weidenhoff",
        address="Speicherweg 4, 20457 Hamburg, Germany",
        origin="Made in USA",
        by=by,
    )
    packed = Batch.objects.filter(design__name="Two Tides", status="released").order_by("number").first()
    round_ones = Batch.objects.filter(design__name="Garden Wall", status="released").order_by("number").first()
    if packed is not None:
        finish = packed.bar_moves.order_by("-bars", "pk")[0].finish
        _printed(packed, finish, today=today, by=by, accent=Accent.SEA.value)
        words = {"layout": LabelLayout.WORDS, "stock": "favor-letter", "wording": wordings_of(packed)[0]}
        _printed(packed, finish, today=today, by=by, elsewhere=Elsewhere.UNDER, **words)
    if round_ones is not None:
        finish = round_ones.bar_moves.order_by("-bars", "pk")[0].finish
        bare = {"stock": "round-letter", "has_list": False, "elsewhere": Elsewhere.LEAFLET}
        kept = _printed(round_ones, finish, today=today, by=by, accent=Accent.FOREST.value, **bare)
        count_labels(print_id=kept.pk, used=kept.copies - SPARE, spoiled=1, left_over=1, words="", by=by)


def _printed(batch: Batch, finish: str, *, today: date, by: User, **choices: Any) -> LabelPrint:
    workshop = Workshop.current()
    bars = bars_by_finish(batch, plan_of(batch))[finish]
    ask = replace(plain_ask(finish, workshop=workshop, copies=bars + SPARE), has_logo=True, **choices)
    return print_labels(batch_id=batch.pk, ask=ask, reason="", on=today, by=by)


def _drawn_logo() -> io.BytesIO:
    """Three blades of grass over a line of water, drawn here because the shop is invented."""
    picture = Image.new("RGB", (480, 240), "white")
    pen = ImageDraw.Draw(picture)
    for foot, tip, color in ((200, 120, "#2f5d50"), (240, 250, "#2f5d50"), (280, 370, "#5d8a6c")):
        pen.polygon([(foot - 14, 200), (tip, 20), (foot + 14, 200)], fill=color)
    for top in (200, 216):
        pen.line([(40, top), (440, top)], fill="#2b5d86", width=7)
    written = io.BytesIO()
    picture.save(written, "PNG")
    written.seek(0)
    return written
