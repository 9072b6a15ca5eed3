"""Move bars from one place in the book to another. Every move is judged by the ledger under a lock on its batch."""

from uuid import UUID

from django.db import transaction

from orders.models import OrderLine
from production.bar_ledger import LABELS, Balance, BarState, judge_move
from production.batches.actions.bench import locked_batch
from production.batches.models import Batch
from production.cure.bar_counts import Held, bar_counts, bars_with_lines, finish_words
from production.cure.models import BarMove, Release
from production.cure.parcels import from_parcels
from production.cure.refusal import CureRefusal
from soapshop.audit import note_event
from soapshop.models import User

SET_ASIDE = (BarState.HELD, BarState.SECOND, BarState.RETAINED, BarState.TEST, BarState.SPOILED)


def write_move(
    batch: Batch,
    finish: str,
    from_state: BarState,
    to_state: BarState,
    bars: int,
    *,
    by: User | None,
    note: str = "",
    line: OrderLine | None = None,
    line_id: int | None = None,
    decision: Release | None = None,
    parcel_id: int | None = None,
    is_correction: bool = False,
    typed_once: UUID | None = None,
) -> BarMove:
    """Write one move, or refuse it with the ledger's sentence. The caller holds the lock on the batch."""
    now = bar_counts([batch.pk]).get(batch.pk, {}).get(finish)
    if now is None:
        raise CureRefusal(f"{batch} has no bars of that finish. Choose one that was counted at the cut.")
    refusal = judge_move(now, from_state, to_state, bars, is_correction=is_correction)
    if refusal:
        raise CureRefusal(refusal)
    return BarMove.objects.create(
        batch=batch,
        finish=finish,
        from_state=from_state.value,
        to_state=to_state.value,
        bars=bars,
        by=by,
        note=note.strip()[:200],
        line_id=line.pk if line else line_id,
        decision=decision,
        parcel_id=parcel_id,
        is_correction=is_correction,
        typed_once=typed_once,
    )


@transaction.atomic
def set_bars_aside(
    *,
    batch_id: int,
    finish: str,
    from_state: BarState,
    to_state: BarState,
    bars: int,
    note: str,
    by: User,
    typed_once: UUID | None = None,
) -> BarMove:
    """Put bars on hold, keep them as a sample or as seconds, use them for a test, or write them off, with words why.

    Bars that came back may be judged so too. The same form sent twice has one effect.
    """
    batch = locked_batch(batch_id)
    if typed_once is not None:
        done = BarMove.objects.filter(typed_once=typed_once).first()
        if done is not None:
            return done
    if to_state not in SET_ASIDE:
        raise CureRefusal("Choose what becomes of the bars: on hold, seconds, a sample, a test, or spoiled.")
    if from_state in (BarState.RESERVED, BarState.PACKED):
        raise CureRefusal("These bars are kept for an order. Give them back there first.")
    if not note.strip():
        raise CureRefusal("Say in a few words why, so that the count can be followed later.")
    start = from_state
    if from_state == BarState.RETURNED and to_state != BarState.HELD:
        write_move(batch, finish, BarState.RETURNED, BarState.HELD, bars, by=by, note=note)
        start = BarState.HELD
    move = write_move(batch, finish, start, to_state, bars, by=by, note=note, typed_once=typed_once)
    way = f"from {LABELS[from_state].lower()} to {LABELS[to_state].lower()}"
    text = f"{batch}: {bars} {finish_words(finish)} {way}. {note.strip()}"
    note_event(by=by, verb="set_bars_aside", subject=batch, text=text[:400])
    return move


def retain_sample(
    *, batch_id: int, finish: str, from_state: BarState, bars: int, by: User, note: str = "Retained sample"
) -> BarMove:
    """Keep bars to look at until a year after the best-before date."""
    return set_bars_aside(
        batch_id=batch_id,
        finish=finish,
        from_state=from_state,
        to_state=BarState.RETAINED,
        bars=bars,
        note=note,
        by=by,
    )


def spoil_bars(*, batch_id: int, finish: str, from_state: BarState, bars: int, note: str, by: User) -> BarMove:
    """Write off bars that cannot be sold."""
    return set_bars_aside(
        batch_id=batch_id, finish=finish, from_state=from_state, to_state=BarState.SPOILED, bars=bars, note=note, by=by
    )


def release_bars(batch: Batch, *, decision: Release, by: User) -> int:
    """Put every bar in cure on the shelf of released bars; return how many. The caller holds the lock."""
    released = 0
    for finish, now in bar_counts([batch.pk]).get(batch.pk, {}).items():
        bars = now.at(BarState.IN_CURE)
        if bars:
            write_move(batch, finish, BarState.IN_CURE, BarState.RELEASED, bars, by=by, decision=decision)
            released += bars
    return released


def stop_bars(batch: Batch, *, to_state: BarState, decision: Release, by: User, note: str) -> list[Held]:
    """Take every bar still in the house to a hold (or to spoiled); return what was taken from order lines.

    Bars that were handed over are out of the house; samples and spoiled bars stay where they are.
    """
    taken = [held for held in bars_with_lines(BarMove.objects.filter(batch=batch)) if held.reserved or held.packed]
    for held in taken:
        shares = [(BarState.PACKED, parcel_id, bars) for parcel_id, bars in _packed_in(held)]
        for start, parcel_id, bars in ((BarState.RESERVED, None, held.reserved), *shares):
            if bars:
                write_move(
                    batch,
                    held.finish,
                    start,
                    to_state,
                    bars,
                    by=by,
                    note=note,
                    line_id=held.line_id,
                    decision=decision,
                    parcel_id=parcel_id,
                )
    for finish, now in bar_counts([batch.pk]).get(batch.pk, {}).items():
        for start in (BarState.IN_CURE, BarState.RELEASED, BarState.SECOND):
            if now.at(start):
                write_move(batch, finish, start, to_state, now.at(start), by=by, note=note, decision=decision)
        _stop_the_rest(batch, finish, now, to_state, decision=decision, by=by, note=note)
    return taken


def _packed_in(held: Held) -> list[tuple[int | None, int]]:
    if not held.packed:
        return []
    return from_parcels(
        line_id=held.line_id,
        batch_id=held.batch_id,
        finish=held.finish,
        state=BarState.PACKED,
        bars=held.packed,
    )


def _stop_the_rest(
    batch: Batch, finish: str, now: Balance, to_state: BarState, *, decision: Release, by: User, note: str
) -> None:
    """Bars that came back go on hold; with those that were on hold before they are written off, if that is asked."""
    back, held = now.at(BarState.RETURNED), now.at(BarState.HELD)
    if back:
        write_move(batch, finish, BarState.RETURNED, BarState.HELD, back, by=by, note=note, decision=decision)
    if to_state == BarState.SPOILED and back + held:
        write_move(batch, finish, BarState.HELD, to_state, back + held, by=by, note=note, decision=decision)


def return_to_rack(batch: Batch, *, decision: Release, by: User) -> int:
    """After a hold, put the bars it stopped back on the rack; each waits there for a (new) release.

    Bars that were on hold for a reason of their own, seconds, bars that came back, and what was written off meanwhile
    are left where they are.
    """
    own_reasons = (BarState.SECOND.value, BarState.RETURNED.value)
    stopped: dict[str, int] = {}
    for move in decision.moves.filter(to_state=BarState.HELD.value).exclude(from_state__in=own_reasons):
        stopped[move.finish] = stopped.get(move.finish, 0) + move.bars
    now = bar_counts([batch.pk]).get(batch.pk, {})
    returned = 0
    for finish, bars in stopped.items():
        back = min(bars, now[finish].at(BarState.HELD))
        if back:
            write_move(batch, finish, BarState.HELD, BarState.IN_CURE, back, by=by, note="The hold is lifted")
            returned += back
    return returned
