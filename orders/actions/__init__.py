"""The verbs of the order book: customers, orders, their lines, and the way an order goes."""

from orders.actions.customers import save_customer
from orders.actions.lines import LineWish, add_line, change_line, remove_line
from orders.actions.moving import mark_risk, move_by_hand, move_order, promise_date
from orders.actions.taking import change_terms, create_order, take_order
from orders.actions.writing import OrderRefusal, note_order

__all__ = [
    "LineWish",
    "OrderRefusal",
    "add_line",
    "change_line",
    "change_terms",
    "create_order",
    "mark_risk",
    "move_by_hand",
    "move_order",
    "note_order",
    "promise_date",
    "remove_line",
    "save_customer",
    "take_order",
]
