"""A trace as plain figures for a file or another program. Rules only; codes and days are text, no digit is lost."""

from dataclasses import asdict
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Any

from production.tracing.records import Bars, BatchFound, Call, Trace


def trace_json(trace: Trace) -> dict[str, Any]:
    return {
        "asked": trace.asked,
        "kind": trace.kind,
        "title": trace.title,
        "came_from": {
            "lots": [_plain(asdict(lot)) for lot in trace.from_lots],
            "part_lots": [_plain(asdict(lot)) for lot in trace.from_part_lots],
            "batches": [_batch(batch, None) for batch in trace.from_batches],
        },
        "went_into": {
            "lots": [_plain(asdict(lot)) for lot in trace.to_lots],
            "part_lots": [_plain(asdict(lot)) for lot in trace.to_part_lots],
            "pots_of_parts": [_plain(asdict(pot)) for pot in trace.to_pots],
            "batches": [_batch(batch, trace.bars_of(batch.number)) for batch in trace.batches],
        },
        "bars": _bars(trace.bars),
        "orders": [_call(call) for call in trace.calls],
    }


def _bars(bars: Bars) -> dict[str, Any]:
    return {
        "made": bars.made,
        "places": {state.value: count for state, count in bars.places.items()},
        "here": bars.here,
        "kept_for_orders": bars.with_orders,
        "handed_over": bars.shipped,
        "given_away": bars.let_go,
        "spoiled_or_tested": bars.no_more,
        "accounted": bars.accounted,
        "not_accounted": bars.gap,
    }


def _batch(batch: BatchFound, bars: Bars | None) -> dict[str, Any]:
    figures: dict[str, Any] = _plain(asdict(batch))
    return figures if bars is None else figures | {"bars": _bars(bars)}


def _call(call: Call) -> dict[str, Any]:
    sums = {"kept": call.kept, "handed_over": call.shipped, "promised": call.promised}
    figures: dict[str, Any] = _plain(asdict(call))
    return figures | sums


def _plain(figure: Any) -> Any:
    if isinstance(figure, dict):
        return {key: _plain(part) for key, part in figure.items()}
    if isinstance(figure, list | tuple):
        return [_plain(part) for part in figure]
    if isinstance(figure, StrEnum):
        return figure.value
    if isinstance(figure, Decimal):
        return f"{figure:f}"
    return figure.isoformat() if isinstance(figure, date) else figure
