"""Start a recall or a drill, stop what it names, note who was told, and finish it."""

import secrets
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils import timezone

from orders.models import Order
from production.batch_states import BatchState, may_move
from production.batches.actions.after_pour import hold_batch
from production.batches.models import Batch
from production.lot_states import LotState
from production.lot_states import may_move as may_move_lot
from production.stock.actions import hold_part_lot, move_lot
from production.stock.models import Lot, PartLot
from production.today.actions import refresh_risks
from production.tracing.models import Recall, RecallContact
from production.tracing.reads import whole_trace
from production.tracing.records import Trace
from production.tracing.subjects import NotFound, find_subject
from production.tracing.trace_json import trace_json
from soapshop.audit import note_event
from soapshop.models import User
from soapshop.numbering import next_number


class RecallRefusal(Exception):
    """Something cannot be done with a recall; the message says why and the mend."""


def start_recall(
    *,
    kind: str,
    typed: str,
    trigger: str,
    reason: str,
    by: User,
    scope: str = Recall.Scope.SOAP,
    hazard: str = "",
    typed_once: UUID | None = None,
    at: datetime | None = None,
) -> Recall:
    """Begin a recall or a drill: from now on (or ``at``) the clock runs. The same form sent twice begins one."""
    taken = Recall.objects.filter(typed_once=typed_once).first() if typed_once else None
    if taken is not None:
        return taken
    try:
        subject = find_subject(typed)
    except NotFound as refusal:
        raise RecallRefusal(str(refusal)) from refusal
    if not reason.strip():
        raise RecallRefusal("Say in a sentence what it is about. It stands on the paper.")
    try:
        with transaction.atomic():
            return _begin(
                at or timezone.now(),
                by,
                kind=kind,
                asked=subject.code[:80],
                title=subject.title[:200],
                trigger=trigger,
                scope=scope,
                reason=reason.strip()[:400],
                hazard=hazard.strip()[:400],
                typed_once=typed_once,
            )
    except IntegrityError:
        taken = Recall.objects.filter(typed_once=typed_once).first() if typed_once else None
        if taken is None:
            raise
        return taken


def start_drill(*, by: User, typed_once: UUID | None = None) -> Recall:
    """Draw a lot by chance among those that went into a batch, and start the clock on finding what it is in."""
    used = Lot.objects.filter(weighings__actual_grams__gt=0).order_by("pk").distinct().values_list("code", flat=True)
    codes = list(used)
    if not codes:
        raise RecallRefusal("No lot has gone into a batch yet, so there is nothing to practice on.")
    return start_recall(
        kind=Recall.Kind.DRILL,
        typed=secrets.choice(codes),
        trigger=Recall.Trigger.PRACTICE,
        reason="Drill: find all that this lot is in, and who has it.",
        by=by,
        typed_once=typed_once,
    )


def _begin(now: datetime, by: User, **told: Any) -> Recall:
    day = timezone.localdate(now)
    number = f"R{day:%y}-{next_number(f'recall-{day:%y}'):03d}"
    recall = Recall.objects.create(number=number, started_at=now, started_by=by, **told)
    note_event(by=by, verb="start_recall", subject=recall, text=f"Began {recall}: {recall.title}. {recall.reason}")
    return recall


def recall_trace(recall: Recall) -> Trace:
    """Return the trace of a recall as the books are now."""
    return whole_trace(find_subject(recall.asked))


@transaction.atomic
def hold_what_is_named(*, recall_id: int, on: date, by: User) -> tuple[str, ...]:
    """Put the lots and, where the bars are affected, every batch and part on hold. Return what was stopped."""
    recall = _open_recall(recall_id)
    if recall.is_drill:
        raise RecallRefusal("A drill stops nothing. Start a recall if this is in earnest.")
    trace = recall_trace(recall)
    reason = f"Recall {recall.number}: {recall.reason}"[:300]
    stopped = _hold_lots(trace, recall, reason, by)
    if recall.scope == Recall.Scope.SOAP:
        stopped += _hold_part_lots(trace, reason, by) + _hold_batches(trace, reason, by)
        refresh_risks(today=on)
    text = f"{recall}: on hold now {', '.join(stopped) or 'nothing, all stood still already'}."
    note_event(by=by, verb="hold_what_is_named", subject=recall, text=text)
    return tuple(stopped)


def _hold_lots(trace: Trace, recall: Recall, reason: str, by: User) -> list[str]:
    starts = [node.pk for node in find_subject(recall.asked).starts if node.kind == "lot"]
    codes = [lot.code for lot in trace.to_lots] if recall.scope == Recall.Scope.SOAP else []
    lots = Lot.objects.filter(pk__in=starts) | Lot.objects.filter(code__in=codes)
    stopped = []
    for lot in lots.order_by("pk"):
        if may_move_lot(lot.state, LotState.HELD) is None:
            move_lot(lot_id=lot.pk, to=LotState.HELD, by=by, reason=reason)
            stopped.append(lot.code)
    return stopped


def _hold_part_lots(trace: Trace, reason: str, by: User) -> list[str]:
    codes = [lot.code for lot in trace.to_part_lots] + ([trace.asked] if trace.kind == "part_lot" else [])
    stopped = []
    for lot in PartLot.objects.filter(code__in=codes, is_held=False).order_by("pk"):
        hold_part_lot(part_lot_id=lot.pk, reason=reason, by=by)
        stopped.append(lot.code)
    return stopped


def _hold_batches(trace: Trace, reason: str, by: User) -> list[str]:
    stopped = []
    for batch in Batch.objects.filter(number__in=[batch.number for batch in trace.batches]).order_by("pk"):
        if may_move(batch.state, BatchState.HELD) is None:
            hold_batch(batch_id=batch.pk, reason=reason, by=by)
            stopped.append(batch.number)
    return stopped


@transaction.atomic
def note_contact(
    *,
    recall_id: int,
    order_number: str,
    way: str,
    by: User,
    has_answered: bool = False,
    answer: str = "",
    bars_back: int = 0,
) -> RecallContact:
    """Note that a customer was told. Telling again is another line; nothing written is changed."""
    recall = _open_recall(recall_id)
    order = Order.objects.filter(number__iexact=order_number.strip()).first()
    if order is None:
        raise RecallRefusal(f"There is no order “{order_number[:20]}”. Take its number from the call list.")
    contact = RecallContact.objects.create(
        recall=recall,
        order=order,
        way=way,
        has_answered=has_answered or bool(answer.strip()),
        answer=answer.strip()[:300],
        bars_back=bars_back,
        by=by,
    )
    text = f"{recall}: {order} told {contact.get_way_display().lower()}."
    note_event(by=by, verb="note_contact", subject=recall, text=text)
    return contact


@transaction.atomic
def finish_recall(
    *,
    recall_id: int,
    words: str,
    by: User,
    bars_counted: int | None = None,
    authority: str = "",
    cause: str = "",
    at: datetime | None = None,
) -> Recall:
    """Stop the clock and keep the trace as it stands now, with how it ended."""
    recall = _open_recall(recall_id)
    if not words.strip():
        raise RecallRefusal("Say in a sentence how it ended, such as all bars found, or two customers silent.")
    if not recall.is_drill and not by.is_owner:
        raise RecallRefusal("Only an owner closes a recall. Ask the owner to look at it.")
    recall.found = trace_json(recall_trace(recall))
    recall.words, recall.authority, recall.cause = words.strip()[:400], authority.strip()[:300], cause.strip()[:400]
    recall.bars_counted, recall.finished_at, recall.finished_by = bars_counted, at or timezone.now(), by
    recall.save(update_fields=["found", "words", "authority", "cause", "bars_counted", "finished_at", "finished_by"])
    note_event(by=by, verb="finish_recall", subject=recall, text=f"Finished {recall}: {recall.words}")
    return recall


def _open_recall(recall_id: int) -> Recall:
    recall = Recall.objects.select_for_update().get(pk=recall_id)
    if not recall.is_open:
        raise RecallRefusal(f"{recall} is finished. Start a new one if more comes up.")
    return recall
