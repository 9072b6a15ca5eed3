"""Decide on a batch: ready for review by facts; released, held or rejected by a person with a sentence."""

from datetime import date

from django.db import transaction

from production.bar_ledger import BarState
from production.batch_states import BatchState, may_move
from production.batches.actions.bench import finish_step, locked_batch
from production.batches.models import Batch
from production.cure.actions.bars import release_bars, stop_bars
from production.cure.actions.promises import warn_orders
from production.cure.facts import Reason
from production.cure.models import Release
from production.cure.readiness import Readiness
from production.cure.records import CuringBatch, curing_batches, for_rack
from production.cure.refusal import CureRefusal
from production.planning.route import RELEASE
from soapshop.audit import note_event
from soapshop.models import User

# Reasons that time and a scale answer: an owner may release before them, with a reason, when least days are over.
TIME_ALONE = frozenset({"cure_days", "still_losing", "too_few_weighings", "old_weighing", "not_weighed"})
MOST_WORDS = 320


def judged(batch_id: int, *, today: date) -> CuringBatch:
    """Read the batch afresh and judge it."""
    return curing_batches(list(for_rack(Batch.objects.filter(pk=batch_id))), today=today)[0]


def note_if_ready(batch: Batch, *, today: date, by: User | None) -> bool:
    """Move a curing batch to review when the facts say so. The caller holds the lock."""
    if batch.state != BatchState.CURING or not judged(batch.pk, today=today).readiness.is_ready:
        return False
    batch.status, batch.ready_seen_on = BatchState.READY_FOR_REVIEW.value, today
    batch.save(update_fields=["status", "ready_seen_on"])
    text = f"{batch} is ready for review: days over, weights steady, checks entered."
    note_event(by=by, verb="update_ready", subject=batch, text=text)
    return True


@transaction.atomic
def update_ready(*, today: date, by: User | None) -> list[Batch]:
    """Look at every curing batch and note those that the facts call ready; return them."""
    curing = Batch.objects.filter(status=BatchState.CURING.value)
    ready = [each.batch.pk for each in curing_batches(list(for_rack(curing)), today=today) if each.readiness.is_ready]
    locked = Batch.objects.select_for_update().filter(pk__in=ready).order_by("pk")
    return [batch for batch in locked if note_if_ready(batch, today=today, by=by)]


@transaction.atomic
def release_batch(
    *, batch_id: int, words: str, today: date, by: User, best_before: date | None = None, early_reason: str = ""
) -> Release:
    """Release the bars of a batch for sale, by an owner, with a sentence.

    Before the cure is over it takes a reason of its own, and the papers print “best from”.
    """
    batch = locked_batch(batch_id)
    _need_owner(by, "release a batch")
    words, early_reason = words.strip(), early_reason.strip()
    if batch.state == BatchState.RELEASED:
        raise CureRefusal(f"{batch} is released already.")
    if len(words) < 3:
        raise CureRefusal("Say in a sentence what the release rests on, such as: steady, clear titration, looks good.")
    readiness = judged(batch_id, today=today).readiness
    is_early = _judge_release(batch, readiness, early_reason)
    if best_before is not None and best_before <= today:
        raise CureRefusal("The best-before day has gone by. Choose a later one, or reject the batch.")
    best_from = readiness.ready_on if is_early and readiness.ready_on > today else None
    if best_before is not None and best_from is not None and best_before <= best_from:
        raise CureRefusal("The best-before day lies before the cure is over. Choose a later one.")
    sentence = [words[:MOST_WORDS]]
    if is_early:
        sentence.append(f"Before the cure was over: {early_reason}.")
    if not readiness.alkali.is_tested:
        sentence.append("No alkali test was made.")
    decision = Release.objects.create(
        batch=batch,
        decision=Release.Decision.RELEASED,
        words=" ".join(sentence)[:400],
        on=today,
        best_from=best_from,
        best_before=best_before,
        by=by,
    )
    _walk_to_released(batch, today=today)
    bars = release_bars(batch, decision=decision, by=by)
    finish_step(batch, RELEASE, on=today, by=by)
    known = [reason.text for reason in readiness.reasons]
    text = f"Released {batch}: {bars} bars. {decision.words}"[:400]
    note_event(by=by, verb="release_batch", subject=batch, text=text, after={"bars": bars, "known": known})
    return decision


@transaction.atomic
def reject_batch(*, batch_id: int, words: str, by: User) -> Release:
    """Give a batch up, by an owner, with a sentence; its bars are written off as spoiled."""
    batch = locked_batch(batch_id)
    _need_owner(by, "reject a batch")
    refusal = may_move(batch.state, BatchState.REJECTED)
    if refusal:
        raise CureRefusal(refusal)
    if len(words.strip()) < 3:
        raise CureRefusal("Say in a sentence why the batch is rejected.")
    decision = Release.objects.create(batch=batch, decision=Release.Decision.REJECTED, words=words.strip()[:400], by=by)
    taken = stop_bars(batch, to_state=BarState.SPOILED, decision=decision, by=by, note=f"{batch} was rejected")
    batch.status, batch.hold_reason, batch.held_from = BatchState.REJECTED.value, "", ""
    batch.save(update_fields=["status", "hold_reason", "held_from"])
    warn_orders(batch, taken, text=f"{batch} was rejected", by=by)
    note_event(by=by, verb="reject_batch", subject=batch, text=f"Rejected {batch}: {decision.words}"[:400])
    return decision


def blocking(readiness: Readiness, state: BatchState) -> tuple[Reason, ...]:
    """What stands between the batch and its release.

    Once the facts were seen as ready, a weighing that has grown old since does not undo them.
    """
    seen = {"old_weighing"} if state == BatchState.READY_FOR_REVIEW else set()
    return tuple(reason for reason in readiness.reasons if reason.blocks and reason.code not in seen)


def _judge_release(batch: Batch, readiness: Readiness, early_reason: str) -> bool:
    """Return whether this is an early release; refuse what may not be released at all."""
    if batch.state not in (BatchState.CURING, BatchState.READY_FOR_REVIEW):
        raise CureRefusal(may_move(batch.state, BatchState.RELEASED) or "This batch cannot be released.")
    _judge_test(batch)
    reasons = blocking(readiness, batch.state)
    grave = [reason for reason in reasons if reason.code not in TIME_ALONE]
    if grave:
        raise CureRefusal(f"{batch} cannot be released. {grave[0].text} {grave[0].mend}")
    if not reasons:
        return False
    first = f"{reasons[0].text} {reasons[0].mend}"
    if readiness.day_of_cure < batch.least_cure_days:
        raise CureRefusal(
            f"{batch} cannot be released. {first} Not even early: the least cure is {batch.least_cure_days} days."
        )
    if not early_reason:
        raise CureRefusal(f"{batch} is not through its cure. {first} To release it early, say why; the papers tell.")
    return True


def _judge_test(batch: Batch) -> None:
    """Bars of a test pour are for sale only once their design is approved from it."""
    tried = getattr(batch, "test_pour", None)
    if tried is not None and tried.verdict != tried.Verdict.APPROVED:
        raise CureRefusal(
            f"{batch} is a test pour that its design is not approved from. Judge it first; bars that are not sold go "
            "out as samples or are written off."
        )


def _walk_to_released(batch: Batch, *, today: date) -> None:
    if batch.state == BatchState.CURING:
        batch.status, batch.ready_seen_on = BatchState.READY_FOR_REVIEW.value, today
    refusal = may_move(batch.state, BatchState.RELEASED)
    if refusal:
        raise CureRefusal(refusal)
    batch.status = BatchState.RELEASED.value
    batch.save(update_fields=["status", "ready_seen_on"])


def _need_owner(by: User, what: str) -> None:
    if not by.is_owner:
        raise CureRefusal(f"Only an owner may {what}. Ask the owner to look at it.")
