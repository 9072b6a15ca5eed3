"""A trace in sentences: what a person reads first, on the page and on paper. Rules only."""

from production.tracing.records import Bars, Trace


def answer(trace: Trace) -> str:
    """Say in a sentence or two what the trace found."""
    if trace.is_empty:
        return "Nothing has gone into it and nothing has come out of it yet."
    came = _came_from(trace)
    return f"{came} {_went(trace)}".strip()


def bars_sentence(bars: Bars) -> str:
    """Say where the bars are, and whether all are found."""
    if not bars.made:
        return "No bars have been cut yet."
    parts = [f"{bars.here:,} still here", f"{bars.with_orders:,} kept for orders", f"{bars.shipped:,} handed over"]
    if bars.let_go:
        parts.append(f"{bars.let_go:,} given away or sold as seconds, to nobody in the book")
    if bars.no_more:
        parts.append(f"{bars.no_more:,} spoiled or used for tests")
    text = f"{counted(bars.made, 'bar')} made: {', '.join(parts)}."
    if bars.gap:
        return f"{text} {counted(abs(bars.gap), 'bar')} cannot be placed: look into the bar book."
    return f"{text} All are accounted for."


def counted(count: int, noun: str, plural: str = "") -> str:
    return f"1 {noun}" if count == 1 else f"{count:,} {plural or noun + 's'}"


def duration(seconds: int) -> str:
    """Say how long something took: 95 → 1 min 35 s."""
    minutes, rest = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    if hours:
        return f"{hours} h {minutes} min"
    return f"{minutes} min {rest} s" if minutes else f"{rest} s"


def _came_from(trace: Trace) -> str:
    lots = len(trace.from_lots) + len(trace.from_part_lots)
    if not lots and not trace.from_batches:
        return ""
    from_batches = f" and {counted(len(trace.from_batches), 'earlier batch', 'earlier batches')}"
    return f"It came from {counted(lots, 'lot')}{from_batches if trace.from_batches else ''}."


def _went(trace: Trace) -> str:
    if not trace.batch_count:
        return "No batch holds any of it yet."
    if trace.kind == "batch" and trace.batch_count == 1:
        head = bars_sentence(trace.bars)
    else:
        head = f"It is in {counted(trace.batch_count, 'batch', 'batches')}. {bars_sentence(trace.bars)}"
    calls = f" {counted(trace.call_count, 'order')} to tell." if trace.call_count else " No order has any of it."
    return head + calls
