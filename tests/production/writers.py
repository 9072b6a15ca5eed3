"""A process of its own that works on the same database as its likes: python -m tests.production.writers.

It reads one job a line (JSON) from standard input and writes one result a line to standard output.
"""

import json
import sys
import traceback
from datetime import date
from decimal import Decimal
from typing import Any

import django


def draw(*, lot: int, grams: str, by: int) -> dict[str, Any]:
    """Draw until the lot refuses."""
    from production.stock.actions import StockRefusal, draw_from_lot
    from soapshop.models import User

    person, drawn = User.objects.get(pk=by), 0
    while True:
        try:
            draw_from_lot(lot_id=lot, grams=Decimal(grams), on=date(2026, 5, 12), by=person, batch_id=None)
        except StockRefusal as refusal:
            return {"drawn": drawn, "refusal": str(refusal)}
        drawn += 1


def look_at_lot(*, lot: int) -> dict[str, Any]:
    from production.models import Lot

    found = Lot.objects.get(pk=lot)
    moves = sum((move.grams for move in found.moves.all()), Decimal())
    return {"grams_left": str(found.grams_left), "moves": str(moves), "status": found.status}


def number(*, series: str, times: int) -> dict[str, Any]:
    """Take numbers; every fourth transaction fails and so gives its number back."""
    from django.db import transaction

    from soapshop.numbering import next_number

    class Refused(Exception):
        pass

    kept = []
    for turn in range(times):
        try:
            with transaction.atomic():
                taken = next_number(series, first=1001)
                if turn % 4 == 3:
                    raise Refused
                kept.append(taken)
        except Refused:
            pass
    return {"kept": kept}


def open_shop(*, username: str) -> dict[str, Any]:
    from soapshop.actions import HasOwner, create_first_owner
    from soapshop.models import User

    person = {"first_name": "Maud", "workshop_name": "Heron Reach Soap", "time_zone": "America/Chicago"}
    try:
        create_first_owner(username=username, password="lavender-and-clay", **person)
    except HasOwner:
        return {"made": False}
    return {"made": True, "accounts": User.objects.count()}


def close(*, person: int, by: int) -> dict[str, Any]:
    from soapshop.actions import PeopleRefusal, close_account
    from soapshop.models import User

    owner = User.objects.get(pk=by)
    try:
        close_account(person_id=person, by=owner)
    except PeopleRefusal as refusal:
        return {"closed": False, "refusal": str(refusal)}
    return {"closed": True}


def weigh(*, line: int, lot: str, by: int) -> dict[str, Any]:
    """Weigh one line of a ticket as planned, from the lot named."""
    from production.batches.actions.bench import weigh_line
    from production.batches.asked import BatchRefusal
    from production.models import Weighing
    from soapshop.models import User

    planned = Weighing.objects.get(pk=line).planned_grams
    told = {"weighing_id": line, "lot_code": lot, "grams": planned, "on": date(2026, 5, 12)}
    try:
        weigh_line(by=User.objects.get(pk=by), **told)
    except BatchRefusal as refusal:
        return {"weighed": "0", "refusal": str(refusal)}
    return {"weighed": str(planned)}


def reserve(*, order: int, by: int) -> dict[str, Any]:
    """Take what the shelf of released bars has for one order."""
    from production.cure.actions.reserving import allocate_bars
    from production.cure.refusal import CureRefusal
    from soapshop.models import User

    try:
        moves = allocate_bars(order_id=order, today=date(2026, 4, 13), by=User.objects.get(pk=by))
    except CureRefusal as refusal:
        return {"reserved": 0, "refusal": str(refusal)}
    return {"reserved": sum(move.bars for move in moves)}


def give_away(*, batch: int, bars: int, by: int) -> dict[str, Any]:
    """Take released bars off the shelf, so many at a time, until the shelf refuses."""
    from production.bar_ledger import BarState
    from production.cure.actions.bars import spoil_bars
    from production.cure.refusal import CureRefusal
    from soapshop.models import User

    person, taken = User.objects.get(pk=by), 0
    while True:
        try:
            told = {"finish": "plain", "from_state": BarState.RELEASED, "bars": bars, "note": "dropped"}
            spoil_bars(batch_id=batch, by=person, **told)
        except CureRefusal as refusal:
            return {"taken": taken, "refusal": str(refusal)}
        taken += bars


def look_at_bars(*, batch: int) -> dict[str, Any]:
    from production.cure.bar_counts import bar_counts

    now = bar_counts([batch])[batch]["plain"]
    return {"made": now.made, "accounted": now.accounted, **{state.value: bars for state, bars in now.places.items()}}


def repack(*, lot: int, grams: str, by: int) -> dict[str, Any]:
    """Fill tubs out of a lot until it refuses."""
    from production.stock.actions import StockRefusal, repack_lots
    from soapshop.models import User

    person, filled = User.objects.get(pk=by), 0
    while True:
        try:
            told = {"grams_by_lot": {lot: Decimal(grams)}, "into": [Decimal(grams)], "on": date(2026, 5, 12)}
            repack_lots(by=person, **told)
        except StockRefusal as refusal:
            return {"drawn": filled, "refusal": str(refusal)}
        filled += 1


def pay(*, order: int, amount: str, by: int, once: str | None = None) -> dict[str, Any]:
    """Write down the same money; ``once`` is the number of a form that was sent twice."""
    from uuid import UUID

    from orders.money.actions import record_payment
    from orders.money.payments import PaymentRefused
    from soapshop.models import User

    day = date(2026, 5, 12)
    told = {"kind": "payment", "on": day, "amount": Decimal(amount), "way": "cash", "today": day}
    try:
        payment = record_payment(
            order_id=order, by=User.objects.get(pk=by), typed_once=UUID(once) if once else None, **told
        )
    except PaymentRefused as refusal:
        return {"payment": None, "refusal": str(refusal)}
    return {"payment": payment.pk}


def issue(*, order: int, kind: str, by: int, amount: str | None = None, once: str | None = None) -> dict[str, Any]:
    """Give out a paper; ``once`` is the number of a form that was sent twice."""
    from uuid import UUID

    from orders.papers.actions import issue_paper
    from soapshop.models import User

    told = {"order_id": order, "kind": kind, "on": date(2026, 5, 12), "by": User.objects.get(pk=by)}
    if once:
        told |= {"amount": Decimal(amount or 0), "words": "Two bars short", "typed_once": UUID(once)}
    return {"number": issue_paper(**told).number}


JOBS = {
    job.__name__: job
    for job in (
        draw,
        look_at_lot,
        number,
        open_shop,
        close,
        weigh,
        reserve,
        give_away,
        look_at_bars,
        repack,
        pay,
        issue,
    )
}


def tell(result: dict[str, Any]) -> None:
    sys.stdout.write(json.dumps(result) + "\n")
    sys.stdout.flush()


def main() -> None:
    django.setup()
    from django.db import connection

    tell({"ready": True})
    for line in sys.stdin:
        job = json.loads(line)
        try:
            result = JOBS[job.pop("do")](**job)
        except Exception:
            result = {"broke": traceback.format_exc()}
        connection.close()
        tell(result)


if __name__ == "__main__":
    main()
