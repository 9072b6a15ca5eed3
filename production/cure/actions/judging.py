"""Bars judged one by one: back to sale after a hold or a return, seconds that leave, bars that come back."""

from datetime import date
from uuid import UUID

from django.db import transaction

from orders.actions import note_order
from orders.models import Order
from production.bar_ledger import LABELS, BarState
from production.batch_states import BatchState
from production.batches.actions.bench import locked_batch
from production.cure.actions.bars import write_move
from production.cure.bar_counts import bars_with_lines, finish_words
from production.cure.models import BarMove
from production.cure.parcels import from_parcels
from production.cure.refusal import CureRefusal
from soapshop.audit import note_event
from soapshop.models import User

# Where bars are put that were judged sound again, by the stage of their batch.
BACK_TO = {
    BatchState.CURING: BarState.IN_CURE,
    BatchState.READY_FOR_REVIEW: BarState.IN_CURE,
    BatchState.RELEASED: BarState.RELEASED,
}


@transaction.atomic
def return_bars(
    *,
    order_id: int,
    line_id: int,
    batch_id: int,
    finish: str,
    bars: int,
    reason: str,
    by: User,
    on: date | None = None,
    typed_once: UUID | None = None,
) -> list[BarMove]:
    """Enter bars that a customer sent back. They wait to be judged and are not for sale till then."""
    batch = locked_batch(batch_id)
    order = Order.objects.select_for_update().get(pk=order_id)
    if typed_once is not None and BarMove.objects.filter(typed_once=typed_once).exists():
        return []
    if not reason.strip():
        raise CureRefusal("Say in a few words why the bars came back.")
    held = bars_with_lines(BarMove.objects.filter(line__order=order, line_id=line_id, batch=batch, finish=finish))
    there = sum(lot.shipped for lot in held)
    if not 1 <= bars <= there:
        raise CureRefusal(
            f"{there} of these bars were handed over with {order}. Enter from 1 to {there}."
            if there
            else f"No bars of this kind were handed over with {order}. Look at its parcels again."
        )
    moves = []
    shares = from_parcels(line_id=line_id, batch_id=batch_id, finish=finish, state=BarState.SHIPPED, bars=bars)
    for place, (parcel_id, count) in enumerate(shares):
        moves.append(
            write_move(
                batch,
                finish,
                BarState.SHIPPED,
                BarState.RETURNED,
                count,
                by=by,
                note=reason,
                line_id=line_id,
                parcel_id=parcel_id,
                typed_once=typed_once if place == 0 else None,
            )
        )
    day = f" on {on:%b} {on.day}" if on else ""
    words = f"{_count(bars)} {finish_words(finish)} of {batch.number} came back{day}: {reason.strip()}."
    note_order(order=order, by=by, verb="return_bars", text=words)
    note_event(by=by, verb="return_bars", subject=batch, text=f"{order}: {words}"[:400])
    return moves


@transaction.atomic
def put_back_bars(
    *,
    batch_id: int,
    finish: str,
    from_state: BarState,
    bars: int,
    words: str,
    by: User,
    typed_once: UUID | None = None,
) -> BarMove:
    """Judge bars on hold, or bars that came back, as sound: by an owner, with a sentence.

    They go to the shelf when their batch is released, else back on the rack.
    """
    batch = locked_batch(batch_id)
    done = BarMove.objects.filter(typed_once=typed_once).first() if typed_once else None
    if done is not None:
        return done
    if not by.is_owner:
        raise CureRefusal("Only an owner puts such bars back. Ask the owner to look at them.")
    if from_state not in (BarState.HELD, BarState.RETURNED):
        raise CureRefusal("Only bars on hold, or bars that came back, are judged here. Choose those.")
    if len(words.strip()) < 3:
        raise CureRefusal("Say in a sentence why these bars are sound.")
    to_state = BACK_TO.get(batch.state)
    if to_state is None:
        raise CureRefusal(f"{batch} is {batch.state.label.lower()}, so none of its bars go back. Settle that first.")
    if from_state == BarState.RETURNED:
        write_move(batch, finish, BarState.RETURNED, BarState.HELD, bars, by=by, note=words)
    move = write_move(batch, finish, BarState.HELD, to_state, bars, by=by, note=words, typed_once=typed_once)
    text = f"{batch}: {_count(bars)} {finish_words(finish)} judged sound, {LABELS[to_state].lower()}. {words.strip()}"
    note_event(by=by, verb="put_back_bars", subject=batch, text=text[:400])
    return move


@transaction.atomic
def let_seconds_go(
    *, batch_id: int, finish: str, bars: int, to_whom: str, by: User, typed_once: UUID | None = None
) -> BarMove:
    """Give seconds away or sell them off; the words say to whom, so that a recall finds them."""
    batch = locked_batch(batch_id)
    done = BarMove.objects.filter(typed_once=typed_once).first() if typed_once else None
    if done is not None:
        return done
    if batch.state != BatchState.RELEASED:
        raise CureRefusal(f"{batch} is {batch.state.label.lower()}. Even seconds leave only after the release.")
    if not to_whom.strip():
        raise CureRefusal("Say to whom they go, or where they are sold, so that they can be found again.")
    move = write_move(batch, finish, BarState.SECOND, BarState.LET_GO, bars, by=by, note=to_whom, typed_once=typed_once)
    text = f"{batch}: {_count(bars)} {finish_words(finish)} let go as seconds: {to_whom.strip()}"
    note_event(by=by, verb="let_seconds_go", subject=batch, text=text[:400])
    return move


def _count(bars: int) -> str:
    return "1 bar" if bars == 1 else f"{bars} bars"
