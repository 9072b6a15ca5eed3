"""Label stocks and printers as a printing needs them: the shop's own beside those that come with the program."""

import re
from collections.abc import Mapping
from dataclasses import fields, replace
from decimal import Decimal
from typing import Any

from production.documents.label_records import LabelStock
from production.documents.label_stock import LABEL_STOCKS
from production.labels.models import PrinterFit, ShopStock
from production.labels.printer_fit import Correction, Readings, correction

OWN = re.compile(r"shop-(\d{1,9})")
READ = tuple(field.name for field in fields(Readings))
COPIED = tuple(field.name for field in fields(LabelStock) if field.name != "code")


def stock_record(row: ShopStock) -> LabelStock:
    return LabelStock(code=row.code, **{name: getattr(row, name) for name in COPIED})


def find_stock(code: str) -> LabelStock | None:
    """Return a stock by its code; a shelved one is still found, because old printings name it."""
    if (packaged := LABEL_STOCKS.get(code)) is not None:
        return packaged
    found = OWN.fullmatch(code)
    row = ShopStock.objects.filter(pk=int(found.group(1))).first() if found else None
    return stock_record(row) if row else None


def own_stocks() -> list[LabelStock]:
    return [stock_record(row) for row in ShopStock.objects.filter(is_shelved=False)]


def all_stocks() -> dict[str, LabelStock]:
    """The shop's own first, then the common ones."""
    return {stock.code: stock for stock in (*own_stocks(), *LABEL_STOCKS.values())}


def printer_correction(
    printer_id: int | None, stock: LabelStock, *, known: Mapping[tuple[int, str], Readings] | None = None
) -> Correction:
    """What the printer needs on this stock; nothing while it is not measured. `known` are readings read already."""
    if printer_id is None:
        return Correction()
    read = (known or {}).get((printer_id, stock.code))
    if read is None:
        fit = PrinterFit.objects.filter(printer_id=printer_id, stock_key=stock.code).first()
        read = readings(fit) if fit else None
    return correction(stock, read) if read else Correction()


def readings(fit: Any) -> Readings:
    """Read them off a fit, or off a printer that was read along with it."""
    return Readings(*(getattr(fit, name) for name in READ))


def shifted(given: Correction, right_mm: Decimal, down_mm: Decimal) -> Correction:
    """Add what a person types for this one printing."""
    return replace(given, offset_x_mm=given.offset_x_mm + right_mm, offset_y_mm=given.offset_y_mm + down_mm)
