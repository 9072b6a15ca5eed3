"""What of the batch, the workshop and the choices stands on one label, and what the market asks for beyond it."""

from datetime import date
from typing import Any

from formulas.design_records import mold_of
from formulas.geometry import BarSize, CavityMold, MoldError
from formulas.label_rules.problems import Problem
from formulas.label_rules.rows import LabelRuleError
from production.batches.models import Batch
from production.documents.label_records import LabelFace
from production.labels.choices import CodeToScan, LabelAsk
from production.labels.declared import BatchLabels
from production.labels.face import FaceWords, Maker
from production.labels.judging import item_problems
from production.labels.present import Answerable
from soapshop.models import Workshop

NEW_SHOP_NAME = "Our workshop"


def bar_size(batch: Batch) -> BarSize | None:
    """The face from the mold; a single cavity is known by its volume alone."""
    try:
        mold = mold_of(batch.mold)
        return None if isinstance(mold, CavityMold) else mold.bar_size()
    except MoldError:
        return None


def named_maker(workshop: Workshop, ask: LabelAsk, person: Answerable | None) -> Maker:
    """Who is named: the person of the market where one is entered, else the workshop itself."""
    contact = workshop.website or workshop.email or workshop.phone
    if person is not None:
        return Maker(person.name, person.address_lines, ask.role.value, contact, person.origin, True)
    return Maker(workshop.maker_name.strip(), workshop.address_lines, ask.role.value, contact)


def face_words(batch: Any, labels: BatchLabels, ask: LabelAsk, workshop: Workshop, maker: Maker) -> FaceWords:
    codes = {CodeToScan.NONE: "", CodeToScan.BATCH: batch.number, CodeToScan.WEBSITE: workshop.website}
    has_brand = workshop.name not in (maker.name, NEW_SHOP_NAME)
    return FaceWords(
        product=labels.plan.product,
        identity=labels.plan.identity,
        batch_number=batch.number,
        maker=maker,
        brand=workshop.name if has_brand else "",
        wording=ask.wording,
        best_from=batch.label_best_from,
        best_before=batch.label_best_before,
        qr_text=codes[ask.code],
        has_list=ask.has_list,
        room_words=workshop.shared_room_words if ask.has_room_words else "",
        layout=ask.layout.value,
    )


def required_problems(
    face: LabelFace, words: FaceWords, ask: LabelAsk, workshop: Workshop, on: date, *, has_report: bool
) -> tuple[Problem, ...]:
    try:
        return item_problems(
            face,
            market=ask.market,
            on=on,
            maker=words.maker,
            has_street=bool(workshop.street and workshop.prints_street),
            has_durability=words.best_before is not None,
            has_report=has_report,
        )
    except LabelRuleError as refusal:
        return (Problem("stop", "no_rules", str(refusal), "Choose another market."),)
