"""A trace, or the record of a recall, as the paper it is printed on."""

from datetime import date, datetime
from typing import Any

from django.utils import timezone

from production.documents.batch_paper import BatchPaper, PaperSection, PaperTable
from production.documents.figures import moment_text
from production.tracing.models import Recall, RecallContact
from production.tracing.records import BatchFound, Call, LotFound, PartLotFound, PotFound, Trace
from production.tracing.words import answer, bars_sentence, counted, duration
from soapshop.models import Workshop
from soapshop.units import format_grams

NOTICE = "From the workshop's own books as they stood when printed. Keep it with the record of the batch."


def trace_paper(trace: Trace, *, workshop: Workshop, printed_at: datetime, printed_by: str) -> BatchPaper:
    return BatchPaper(
        kind="Trace",
        product=trace.title,
        finish="",
        batch_number=trace.asked,
        code_label="Traced",
        facts=_facts(trace),
        sections=tuple(section for section in _sections(trace) if section is not None),
        findings=(answer(trace),),
        notice=NOTICE,
        **_head(workshop, printed_at, printed_by),
    )


def recall_paper(
    recall: Recall,
    trace: Trace,
    contacts: tuple[RecallContact, ...],
    *,
    workshop: Workshop,
    printed_at: datetime,
    printed_by: str,
) -> BatchPaper:
    found = (section for section in _sections(trace) if section is not None)
    return BatchPaper(
        kind=f"{recall.get_kind_display()} record",
        product=trace.title,
        finish="",
        batch_number=recall.number,
        code_label=recall.get_kind_display(),
        facts=_facts(trace),
        sections=(_record(recall, trace), *_told(contacts), *found),
        findings=(answer(trace),),
        sign=("Looked at by", "Day"),
        notice=NOTICE,
        **_head(workshop, printed_at, printed_by),
    )


def _head(workshop: Workshop, printed_at: datetime, printed_by: str) -> dict[str, Any]:
    return {
        "printed_at": printed_at,
        "printed_by": printed_by,
        "shop_name": workshop.name,
        "paper_size": workshop.paper_size,
    }


def _facts(trace: Trace) -> tuple[tuple[str, str], ...]:
    return (
        ("Batches", f"{trace.batch_count:,}"),
        ("Bars made", f"{trace.bars.made:,}"),
        ("Still here", f"{trace.bars.here + trace.bars.with_orders:,}"),
        ("Handed over", f"{trace.bars.shipped:,}"),
        ("Orders", f"{trace.call_count:,}"),
    )


def _record(recall: Recall, trace: Trace) -> PaperSection:
    seconds = recall.seconds_taken
    begun = moment_text(timezone.localtime(recall.started_at))
    ended = moment_text(timezone.localtime(recall.finished_at)) if recall.finished_at else "still open"
    lines = [
        f"{recall.get_trigger_display()}: {recall.reason}",
        f"Affected: {recall.get_scope_display().lower()}.",
        f"Begun {begun} by {recall.started_by.display_name}, ended {ended}"
        + (f", after {duration(seconds)}." if seconds is not None else "."),
        *([f"What it may do: {recall.hazard}"] if recall.hazard else []),
        *([f"Authority: {recall.authority}"] if recall.authority else []),
        *([f"Cause: {recall.cause}"] if recall.cause else []),
        *([f"How it ended: {recall.words}"] if recall.words else []),
    ]
    if recall.bars_counted is not None:
        in_book = trace.bars.here + trace.bars.with_orders
        lines.append(f"Counted in the house: {counted(recall.bars_counted, 'bar')}; by the book {in_book:,}.")
    return PaperSection("The record", tuple(lines), is_list=True)


def _told(contacts: tuple[RecallContact, ...]) -> tuple[PaperSection, ...]:
    if not contacts:
        return ()
    rows = tuple(
        (
            contact.order.number,
            contact.order.customer.name,
            f"{contact.get_way_display()}, {_day(timezone.localdate(contact.at))}",
            contact.answer or ("answered" if contact.has_answered else "no answer yet"),
            f"{contact.bars_back}",
        )
        for contact in contacts
    )
    return (PaperSection("Told", table=PaperTable(("Order", "Customer", "How", "Answer", "#Bars back"), rows)),)


def _sections(trace: Trace) -> tuple[PaperSection | None, ...]:
    return (
        _accounts(trace),
        _calls(trace.calls),
        _batches("Batches", trace.batches, trace),
        _lots("Came from these lots", trace.from_lots),
        _part_lots("Came from these lots of parts", trace.from_part_lots),
        _batches("Came from these batches", trace.from_batches, trace),
        _lots("Went into these lots", trace.to_lots),
        _part_lots("Went into these lots of parts", trace.to_part_lots),
        _pots(trace.to_pots),
    )


def _accounts(trace: Trace) -> PaperSection:
    rows = (("Made", f"{trace.bars.made:,}"), *((name, f"{count:,}") for name, count in trace.bars.lines))
    rows += (("Accounted for", f"{trace.bars.accounted:,} ({trace.bars.accounted_percent:.0f} %)"),)
    return PaperSection("Where the bars are", (bars_sentence(trace.bars),), PaperTable(("Place", "#Bars"), rows))


def _calls(calls: tuple[Call, ...]) -> PaperSection | None:
    if not calls:
        return None
    rows = tuple(
        (
            call.order,
            call.customer,
            call.reach or "not noted",
            got(call),
            _day(call.shipped_on) if call.shipped_on else "–",
        )
        for call in calls
    )
    return PaperSection("Call list", table=PaperTable(("Order", "Customer", "Reach", "Bars", "Handed over"), rows))


def got(call: Call) -> str:
    """Say what an order has: 12 handed over, 3 kept, from B26-004."""
    parts = [
        *([f"{call.shipped} handed over"] if call.shipped else []),
        *([f"{call.kept} kept"] if call.kept else []),
        *([f"{call.promised} promised"] if call.promised else []),
    ]
    return f"{', '.join(parts) or 'none now'}, from {', '.join(call.batches)}"


def _batches(title: str, batches: tuple[BatchFound, ...], trace: Trace) -> PaperSection | None:
    if not batches:
        return None
    rows = tuple(
        (
            batch.number,
            batch.design,
            _day(batch.poured_on) if batch.poured_on else f"planned for {_day(batch.pour_on)}",
            batch.state,
            f"{trace.bars_of(batch.number).made}",
            f"{trace.bars_of(batch.number).here + trace.bars_of(batch.number).with_orders}",
            f"{trace.bars_of(batch.number).shipped}",
        )
        for batch in batches
    )
    columns = ("Batch", "Design", "Poured", "Stage", "#Made", "#Here", "#Out")
    return PaperSection(title, table=PaperTable(columns, rows))


def _lots(title: str, lots: tuple[LotFound, ...]) -> PaperSection | None:
    if not lots:
        return None
    rows = tuple(
        (
            lot.code,
            lot.material,
            lot.supplier or "not noted",
            lot.supplier_lot,
            _day(lot.received_on),
            lot.state,
            format_grams(lot.grams_left),
        )
        for lot in lots
    )
    columns = ("Lot", "Material", "Supplier", "Supplier's lot", "Received", "State", "#Left")
    return PaperSection(title, table=PaperTable(columns, rows))


def _part_lots(title: str, lots: tuple[PartLotFound, ...]) -> PaperSection | None:
    if not lots:
        return None
    rows = tuple((lot.code, lot.part, _day(lot.made_on), f"{lot.pieces_left}") for lot in lots)
    return PaperSection(title, table=PaperTable(("Lot", "Part", "Made", "#Left"), rows))


def _pots(pots: tuple[PotFound, ...]) -> PaperSection | None:
    if not pots:
        return None
    rows = tuple((pot.number, pot.part, pot.state, _day(pot.made_on)) for pot in pots)
    table = PaperTable(("Batch of parts", "Part", "Stage", "Poured"), rows)
    return PaperSection("Went into these pots of parts, which gave no lot yet", table=table)


def _day(day: date | None) -> str:
    return "–" if day is None else f"{day:%b} {day.day}, {day.year}"
