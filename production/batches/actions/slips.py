"""What goes otherwise without a weight: jugs, colors, thick batter, broken parts, steps that were skipped."""

from datetime import date
from uuid import UUID

from django.db import transaction

from production.batch_states import BatchState
from production.batches.actions.writing import locked_batch, note_deviation, noted_before
from production.batches.asked import BatchRefusal
from production.batches.models import Batch, Deviation, StepRecord
from production.batches.reach import orders_to_ask
from production.batches.records import plan_of
from production.batches.slips import SEIZED, broken_words, looks_words, scent_of_swap_words, skipped_words
from production.planning.route import CUT
from production.stock.actions import StockRefusal, break_parts
from production.stock.models import PartLot
from soapshop.models import User

Kind = Deviation.Kind
OVER = (BatchState.CANCELLED, BatchState.REJECTED, BatchState.SCRAPPED, BatchState.REWORKED, BatchState.RELEASED)


@transaction.atomic
def swap_jugs(
    *, batch_id: int, letters: tuple[str, str], words: str, on: date, by: User, typed_once: UUID | None = None
) -> Deviation:
    """Note that two jugs were poured in each other's place."""
    batch = _batch_at_work(batch_id)
    names = _jug_names(batch, letters)
    if letters[0] == letters[1]:
        raise BatchRefusal("Choose two different jugs.")
    scented = frozenset(portion.letter for portion in plan_of(batch).portions if portion.is_scented)
    looks = looks_words(orders_to_ask(batch), today=on)
    return note_deviation(
        batch=batch,
        by=by,
        kind=Kind.SWAPPED,
        what=f"{names[0]} and {names[1]} were poured in each other’s place. {words.strip()}",
        effect=f"{scent_of_swap_words(letters, scented)} {looks}".strip(),
        typed_once=typed_once,
    )


@transaction.atomic
def note_other_color(
    *, batch_id: int, letter: str, words: str, on: date, by: User, typed_once: UUID | None = None
) -> Deviation:
    """Note that a jug came out in another color than drawn. What colored it stands in the weigh-out."""
    batch = _batch_at_work(batch_id)
    (name,) = _jug_names(batch, (letter,))
    if not words.strip():
        raise BatchRefusal("Say which color it has now, such as gray instead of black.")
    return note_deviation(
        batch=batch,
        by=by,
        kind=Kind.COLOR,
        what=f"{name} has another color than drawn: {words.strip()}",
        effect=looks_words(orders_to_ask(batch), today=on),
        typed_once=typed_once,
    )


@transaction.atomic
def note_seized(*, batch_id: int, words: str, by: User, typed_once: UUID | None = None) -> Deviation:
    """Note that the batter went thick before it was in the mold."""
    batch = _batch_at_work(batch_id)
    scents = [material.name for material in plan_of(batch).materials if material.speeds_trace]
    blame = f" {', '.join(scents)} is known to speed trace." if scents else ""
    what = f"The batter seized.{blame} {words.strip()}"
    return note_deviation(batch=batch, by=by, kind=Kind.SEIZED, what=what, effect=SEIZED, typed_once=typed_once)


@transaction.atomic
def note_broken_part(
    *, batch_id: int, part_lot_id: int, pieces: int, words: str, by: User, typed_once: UUID | None = None
) -> Deviation:
    """Write broken pieces out of their lot, at the cost of the batch, and say whether the spares make up for it.

    The same form sent twice has one effect.
    """
    batch = _batch_at_work(batch_id)
    known = noted_before(typed_once)
    if known is not None:
        return known
    lot = PartLot.objects.select_related("part").get(pk=part_lot_id)
    part = next((part for part in plan_of(batch).parts if part.part_id == lot.part_id), None)
    if part is None:
        raise BatchRefusal(f"{lot.part} does not go on these bars. Choose a lot of one of its parts.")
    try:
        lot = break_parts(part_lot_id=lot.pk, pieces=pieces, batch_id=batch.pk, by=by)
    except StockRefusal as refusal:
        raise BatchRefusal(str(refusal)) from refusal
    there = sum(found.pieces_left for found in PartLot.objects.filter(part_id=lot.part_id, is_held=False))
    left = there if batch.cut_on is not None else there - part.pieces
    count = f"{pieces} of {lot.part.name}" if pieces > 1 else f"A {lot.part.name}"
    what = f"{count} ({lot.code}) broke. {words.strip()}"
    effect = broken_words(broken=pieces, spares_left=left)
    return note_deviation(batch=batch, by=by, kind=Kind.PART_BROKE, what=what, effect=effect, typed_once=typed_once)


@transaction.atomic
def skip_step(*, batch_id: int, step_id: int, words: str, by: User, typed_once: UUID | None = None) -> Deviation:
    """Note that a step of the way is not done. It stays open, and the sentence stands beside it."""
    batch = _batch_at_work(batch_id)
    step = StepRecord.objects.select_for_update().filter(pk=step_id, batch=batch).first()
    if step is None or step.done_on is not None:
        raise BatchRefusal("That step is done, or is none of this batch. Choose one that was left out.")
    if not words.strip():
        raise BatchRefusal("Say in a few words why it was skipped.")
    step.note = f"Skipped: {words.strip()}"[:300]
    step.save(update_fields=["note"])
    what = f"Skipped: {step.label}. {words.strip()}"
    effect = skipped_words(step.label, is_cut=step.key == CUT)
    return note_deviation(batch=batch, by=by, kind=Kind.SKIPPED, what=what, effect=effect, typed_once=typed_once)


@transaction.atomic
def note_something_else(
    *, batch_id: int, words: str, effect: str, by: User, typed_once: UUID | None = None
) -> Deviation:
    batch = _batch_at_work(batch_id)
    if not words.strip() or not effect.strip():
        raise BatchRefusal("Say in a few words what happened, and what it may do to the bars.")
    return note_deviation(batch=batch, by=by, what=words, effect=effect.strip(), typed_once=typed_once)


def _batch_at_work(batch_id: int) -> Batch:
    batch = locked_batch(batch_id)
    if batch.state in OVER:
        raise BatchRefusal(
            f"{batch} is {batch.state.label.lower()}: nothing can go otherwise any more. Put it on hold instead."
            if batch.state == BatchState.RELEASED
            else f"{batch} is {batch.state.label.lower()}. Nothing more is written down about its making."
        )
    return batch


def _jug_names(batch: Batch, letters: tuple[str, ...]) -> list[str]:
    names = {portion.letter: portion.name for portion in plan_of(batch).portions}
    if any(letter not in names for letter in letters):
        raise BatchRefusal("One of these jugs is not in this batch. Choose from the jugs on its ticket.")
    return [f"Jug {letter} ({names[letter]})" for letter in letters]
