"""The stages of an order, and the one table that says which may follow which.

Enquiry → quoted → accepted → in production → ready → packed → handed over → closed.
An order may be cancelled until it has been handed over; what that costs is the workshop's terms, not this table.
"""

from enum import StrEnum


class OrderState(StrEnum):
    ENQUIRY = "enquiry"
    QUOTED = "quoted"
    ACCEPTED = "accepted"
    IN_PRODUCTION = "in_production"
    READY = "ready"
    PACKED = "packed"
    HANDED_OVER = "handed_over"
    CLOSED = "closed"
    CANCELLED = "cancelled"

    @property
    def label(self) -> str:
        return LABELS[self]


LABELS: dict[OrderState, str] = {
    OrderState.ENQUIRY: "Enquiry",
    OrderState.QUOTED: "Quoted",
    OrderState.ACCEPTED: "Accepted",
    OrderState.IN_PRODUCTION: "In production",
    OrderState.READY: "Ready",
    OrderState.PACKED: "Packed",
    OrderState.HANDED_OVER: "Handed over",
    OrderState.CLOSED: "Closed",
    OrderState.CANCELLED: "Cancelled",
}

CHOICES: list[tuple[str, str]] = [(state.value, label) for state, label in LABELS.items()]

COURSE: tuple[OrderState, ...] = tuple(state for state in OrderState if state != OrderState.CANCELLED)

MOVES: dict[OrderState, frozenset[OrderState]] = {
    OrderState.ENQUIRY: frozenset({OrderState.QUOTED, OrderState.CANCELLED}),
    OrderState.QUOTED: frozenset({OrderState.ACCEPTED, OrderState.CANCELLED}),
    OrderState.ACCEPTED: frozenset({OrderState.IN_PRODUCTION, OrderState.CANCELLED}),
    OrderState.IN_PRODUCTION: frozenset({OrderState.READY, OrderState.CANCELLED}),
    OrderState.READY: frozenset({OrderState.PACKED, OrderState.CANCELLED}),
    OrderState.PACKED: frozenset({OrderState.HANDED_OVER, OrderState.CANCELLED}),
    OrderState.HANDED_OVER: frozenset({OrderState.CLOSED}),
    OrderState.CLOSED: frozenset(),
    OrderState.CANCELLED: frozenset(),
}

# Promised and not yet in the customer's hands: these orders need bars and days.
PROMISED: frozenset[OrderState] = frozenset(
    {OrderState.ACCEPTED, OrderState.IN_PRODUCTION, OrderState.READY, OrderState.PACKED}
)
OPEN: frozenset[OrderState] = frozenset(state for state, after in MOVES.items() if after)

_FIRST: dict[OrderState, str] = {
    OrderState.ENQUIRY: "Start a new enquiry instead.",
    OrderState.QUOTED: "Write the enquiry down first, then quote it.",
    OrderState.ACCEPTED: "Quote it first, so that both sides agree on one sheet.",
    OrderState.IN_PRODUCTION: "The customer must accept it first.",
    OrderState.READY: "Its bars must be made and released first.",
    OrderState.PACKED: "All its bars must be ready first.",
    OrderState.HANDED_OVER: "Pack it first.",
    OrderState.CLOSED: "Hand it over and settle what is due first.",
    OrderState.CANCELLED: "Record a return or a refund instead.",
}
_ENDED: dict[OrderState, str] = {
    OrderState.CLOSED: "This order is closed. Start a new order, or record a return.",
    OrderState.CANCELLED: "This order was cancelled. Start a new order instead.",
}


# Once bars are being packed, what was agreed is what lies in the parcel.
CHANGEABLE: tuple[OrderState, ...] = (
    OrderState.ENQUIRY,
    OrderState.QUOTED,
    OrderState.ACCEPTED,
    OrderState.IN_PRODUCTION,
)
# Stages that follow from bars, not from a click: each says where it comes about.
_BY_BARS: dict[OrderState, str] = {
    OrderState.IN_PRODUCTION: "An order goes into production when its batches are planned. Plan them below.",
    OrderState.READY: "An order is ready when all its bars are released and kept for it. Reserve them below.",
    OrderState.PACKED: "An order is packed at the packing table, bar by bar. Pack it there.",
    OrderState.HANDED_OVER: "The hand-over is noted at the packing table, where the bars leave the book too. Go there.",
}
# Up to here nothing has been made for the order, so it can be called off without looking at batches.
BEFORE_PRODUCTION: frozenset[OrderState] = frozenset({OrderState.ENQUIRY, OrderState.QUOTED, OrderState.ACCEPTED})


def may_move_by_hand(current: OrderState, target: OrderState) -> str | None:
    """Return None when a person may make this move on the order itself, else where it comes about instead."""
    current, target = OrderState(current), OrderState(target)
    refusal = may_move(current, target)
    if refusal:
        return refusal
    if target == OrderState.CANCELLED and current not in BEFORE_PRODUCTION:
        return "Batches or bars stand behind this order. Cancel it under Batches on its page, which settles both."
    return _BY_BARS.get(target)


def may_move(current: OrderState, target: OrderState) -> str | None:
    """Return None when the move is drawn in the table, else one sentence or two that say what must come first."""
    current, target = OrderState(current), OrderState(target)
    if target in MOVES[current]:
        return None
    if current == target:
        return f"This order already is {_word(current)}. Nothing was changed."
    if current in _ENDED:
        return _ENDED[current]
    if target in COURSE and COURSE.index(target) < COURSE.index(current):
        return (
            f"This order is {_word(current)} and cannot go back to {_word(target)}. "
            "Note the change on the order, or cancel it and start a new one."
        )
    return f"An order that is {_word(current)} cannot become {_word(target)}. {_FIRST[target]}"


def _word(state: OrderState) -> str:
    if state == OrderState.ENQUIRY:
        return "an enquiry"
    label = LABELS[state]
    return label[0].lower() + label[1:]
