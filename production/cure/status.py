"""The rack as figures for another program, and as lines for a terminal."""

from decimal import Decimal
from typing import Any

from production.bar_ledger import PLACES
from production.cure.facts import Reason
from production.cure.rack_rows import FinishCount, ForWhom, RackRow, ShelfRow
from production.cure.reads import Rack


def rack_json(rack: Rack) -> dict[str, Any]:
    """Numbers stay numbers; days are ISO days; what is not known is null."""
    return {
        "today": rack.today.isoformat(),
        "ready_bars": rack.ready_bars,
        "bars_on_the_rack": rack.bars,
        "rack_places": rack.places,
        "batches": [_row(row) for row in rack.rows],
        "released": [_shelf(row) for row in rack.shelf],
    }


def _row(row: RackRow) -> dict[str, Any]:
    readiness, days, due = row.curing.readiness, row.curing.ready_days, row.first_due
    return {
        "batch": row.batch.number,
        "design": row.batch.design.name,
        "status": row.batch.status,
        "bars": row.bars,
        "bars_by_finish": _counts(row.counts),
        "poured_on": row.curing.facts.poured_on.isoformat(),
        "day_of_cure": readiness.day_of_cure,
        "cure_days": row.batch.cure_days,
        "days_to_go": readiness.days_to_go,
        "is_ready": row.is_ready,
        "is_late": row.is_late,
        "ready_on": row.ready_on.isoformat(),
        "ready_between": None if days is None else [days.low.isoformat(), days.high.isoformat()],
        "week_loss_percent": _number(readiness.week_loss_percent),
        "why": [_reason(reason) for reason in row.why],
        "for": [_for_whom(order) for order in row.orders],
        "first_due": None if due is None else due.isoformat(),
    }


def _shelf(row: ShelfRow) -> dict[str, Any]:
    release = row.release
    best_from = release.best_from if release else None
    best_before = release.best_before if release else None
    return {
        "batch": row.batch.number,
        "design": row.batch.design.name,
        "bars_by_finish": _counts(row.counts),
        "free": row.free,
        "released_on": release.day.isoformat() if release else None,
        "best_from": best_from.isoformat() if best_from else None,
        "best_before": best_before.isoformat() if best_before else None,
        "for": [_for_whom(order) for order in row.orders],
    }


def _counts(counts: tuple[FinishCount, ...]) -> dict[str, dict[str, int]]:
    return {
        count.finish: {"made": count.balance.made} | {place.value: count.balance.at(place) for place in PLACES}
        for count in counts
    }


def _reason(reason: Reason) -> dict[str, str]:
    return {"code": reason.code, "text": reason.text, "mend": reason.mend}


def _for_whom(order: ForWhom) -> dict[str, Any]:
    return {
        "order": order.number,
        "customer": order.customer,
        "bars": order.bars,
        "needed_by": order.needed_by.isoformat(),
    }


def _number(figure: Decimal | None) -> float | None:
    """A percent for reading, no longer a mass or money: two decimals are plenty."""
    return None if figure is None else float(round(figure, 2))


def rack_text(rack: Rack) -> str:
    """Return one block of lines for each batch, those an order needs first on top."""
    if not rack.rows and not rack.shelf:
        return "Nothing is curing."
    lines = [f"{rack.ready_bars} bars have finished curing and wait for review."]
    for row in rack.rows:
        lines += _row_lines(row)
    for shelf in rack.shelf:
        free = ", ".join(f"{count.free} {count.words}" for count in shelf.counts)
        lines.append(f"{shelf.batch.number}  {shelf.batch.design.name}: released, free {free}")
    return "\n".join(lines)


def _row_lines(row: RackRow) -> list[str]:
    finishes = ", ".join(f"{count.here} {count.words}" for count in row.counts if count.here)
    to_go = f", {row.days_to_go} to go" if row.days_to_go else ""
    lines = [
        f"{row.batch.number}  {row.batch.design.name}: {row.bars} bars ({finishes}), "
        f"day {row.day} of {row.batch.cure_days}{to_go}: {row.word.lower()}"
    ]
    lines += [f"    {reason.text} {reason.mend}" for reason in row.why]
    lines += [f"    for order {each.number}, {each.customer}: {each.bars} by {each.needed_by}" for each in row.orders]
    return lines
