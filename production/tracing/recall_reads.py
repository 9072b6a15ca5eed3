"""What the page of a recall shows: the clock, the trace, and how far the telling has come."""

from dataclasses import dataclass

from production.tracing.models import Recall, RecallContact
from production.tracing.reads import BatchRow, batch_rows
from production.tracing.records import Call, Trace
from production.tracing.words import answer


@dataclass(frozen=True)
class CallRow:
    """One order of the call list, with the last word of its customer."""

    call: Call
    last: RecallContact | None

    @property
    def is_told(self) -> bool:
        return self.last is not None


@dataclass(frozen=True)
class RecallView:
    trace: Trace
    rows: tuple[CallRow, ...]
    contacts: tuple[RecallContact, ...]
    taken: str

    @property
    def answer(self) -> str:
        return answer(self.trace)

    @property
    def batch_rows(self) -> list[BatchRow]:
        return batch_rows(self.trace)

    @property
    def in_the_house(self) -> int:
        return self.trace.bars.here + self.trace.bars.with_orders

    @property
    def told(self) -> int:
        return sum(1 for row in self.rows if row.is_told)

    @property
    def answered(self) -> int:
        return sum(1 for row in self.rows if row.last is not None and row.last.has_answered)

    @property
    def bars_back(self) -> int:
        return sum(contact.bars_back for contact in self.contacts)


def recall_view(recall: Recall, trace: Trace) -> RecallView:
    contacts = contacts_of(recall)
    last = {contact.order.number: contact for contact in contacts}
    rows = tuple(CallRow(call, last.get(call.order)) for call in trace.calls)
    return RecallView(trace, rows, contacts, recall.taken)


def contacts_of(recall: Recall) -> tuple[RecallContact, ...]:
    """Return who was told, first to last; one query."""
    return tuple(recall.contacts.select_related("order__customer", "by"))
