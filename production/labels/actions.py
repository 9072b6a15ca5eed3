"""Print labels for sale: judged, made, and kept as they were printed."""

import hashlib
from datetime import date
from uuid import UUID

from django.db import transaction

from production.batches.models import Batch
from production.documents.label_records import LabelLayout
from production.labels.choices import LabelAsk
from production.labels.jobs import new_sheet_pdf, sheet_pdf
from production.labels.models import LabelPrint
from production.labels.reads import batch_for_labels
from production.labels.sheets import (
    LabelRefusal,
    PreparedLabel,
    frozen_label,
    label_from_json,
    label_to_json,
    prepare_label,
)
from soapshop.audit import note_event
from soapshop.models import User, Workshop

SHORTEST_REASON = 3
LONGEST_REASON = 400


def print_labels(
    *, batch_id: int, ask: LabelAsk, reason: str, on: date, by: User | None, typed_once: UUID | None = None
) -> LabelPrint:
    """Print labels of released bars and keep a frozen copy. The same form sent twice prints once.

    The sheet is made before the rows are locked, because that takes a second; then everything is judged again.
    Raises LabelRefusal, or PaperRefused and PaperUnavailable when the paper itself cannot be made.
    """
    if (kept := _printed_already(typed_once)) is not None:
        return kept
    prepared = _judged(batch_id, ask, reason, on)
    frozen = label_to_json(frozen_label(prepared, reason=reason.strip()))
    pdf = new_sheet_pdf(prepared.paper)
    return _keep(batch_id, ask, reason, on, by, typed_once, frozen, hashlib.sha256(pdf).hexdigest())


@transaction.atomic
def _keep(
    batch_id: int,
    ask: LabelAsk,
    reason: str,
    on: date,
    by: User | None,
    typed_once: UUID | None,
    frozen: dict[str, object],
    sha256: str,
) -> LabelPrint:
    Batch.objects.select_for_update().get(pk=batch_id)
    if (kept := _printed_already(typed_once)) is not None:
        return kept
    prepared = _judged(batch_id, ask, reason, on)
    if label_to_json(frozen_label(prepared, reason=reason.strip())) != frozen:
        raise LabelRefusal("Something about this batch changed just now. Look at the label again, then print.")
    kept = LabelPrint.objects.create(
        batch_id=batch_id,
        finish=ask.finish,
        stock_key=ask.stock,
        copies=ask.copies,
        is_second=ask.layout is LabelLayout.WORDS,
        frozen=frozen,
        sha256=sha256,
        typed_once=typed_once,
        printed_by=by,
    )
    text = f"Printed {ask.copies} labels for {kept.batch}, {prepared.finish.name}: {prepared.net.text}."
    after = {"stock": ask.stock, "copies": ask.copies, "sha256": sha256, "reason": reason.strip()}
    note_event(by=by, verb="print_labels", subject=kept.batch, text=text, after=after)
    return kept


def reprinted_pdf(kept: LabelPrint) -> tuple[bytes, bool]:
    """Return the sheet again from its frozen copy, and whether it is the same to the last byte."""
    pdf = sheet_pdf(label_from_json(kept.frozen).paper)
    return pdf, hashlib.sha256(pdf).hexdigest() == kept.sha256


def _printed_already(typed_once: UUID | None) -> LabelPrint | None:
    return LabelPrint.objects.filter(typed_once=typed_once).first() if typed_once is not None else None


def _judged(batch_id: int, ask: LabelAsk, reason: str, on: date) -> PreparedLabel:
    batch = batch_for_labels().get(pk=batch_id)
    prepared = prepare_label(batch, ask, workshop=Workshop.current(), on=on)
    if prepared.stops:
        first = prepared.stops[0]
        more = f" And {len(prepared.stops) - 1} more." if len(prepared.stops) > 1 else ""
        raise LabelRefusal(f"{first.text} {first.mend}".strip() + more)
    if prepared.asks and len(reason.strip()) < SHORTEST_REASON:
        first = prepared.asks[0]
        raise LabelRefusal(f"{first.text} {first.mend} Or write down who decided what, and why you print.")
    if len(reason.strip()) > LONGEST_REASON:
        raise LabelRefusal(f"Keep the reason to {LONGEST_REASON} letters, so that it can be read beside the print.")
    return prepared
