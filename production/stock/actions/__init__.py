"""The verbs of the stores: lots of materials, lots of parts, suppliers."""

from production.stock.actions.lots import (
    StockRefusal,
    draw_from_lot,
    give_back,
    move_lot,
    receive_lot,
    set_use_by,
    throw_away,
    weigh_back,
)
from production.stock.actions.parts import (
    break_parts,
    clear_part_lot,
    count_parts,
    hold_part_lot,
    look_at_parts,
    make_part_lot,
    use_parts,
)
from production.stock.actions.repack import repack_lots
from production.stock.actions.suppliers import change_supplier, save_supplier

__all__ = [
    "StockRefusal",
    "break_parts",
    "change_supplier",
    "clear_part_lot",
    "count_parts",
    "draw_from_lot",
    "give_back",
    "hold_part_lot",
    "look_at_parts",
    "make_part_lot",
    "move_lot",
    "receive_lot",
    "repack_lots",
    "save_supplier",
    "set_use_by",
    "throw_away",
    "use_parts",
    "weigh_back",
]
