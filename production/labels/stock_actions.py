"""Keep the label stocks a shop buys, its printers, and where each printer puts things."""

from django.db import transaction

from production.documents.label_sheet import MOST_OFFSET_MM, MOST_SCALE_OFF, refuse_crooked_stock
from production.labels.models import Printer, PrinterFit, ShopStock
from production.labels.printer_fit import Readings, correction
from production.labels.stocks import find_stock, stock_record
from soapshop.audit import note_event
from soapshop.models import User
from soapshop.paper import PaperRefused


class StockRefused(Exception):
    """This stock or this measurement cannot be kept; the message says why and the mend."""


@transaction.atomic
def save_label_stock(*, row: ShopStock, by: User) -> ShopStock:
    """Keep a stock; printings made before keep the measures they were made with."""
    is_new = row.pk is None
    if not is_new:
        ShopStock.objects.select_for_update().get(pk=row.pk)
    record = stock_record(row)
    if record.labels_per_page > 200:
        raise StockRefused("A page holds at most 200 labels. Check the labels across and down.")
    if 2 * row.safe_margin_mm >= min(row.label_width_mm, row.label_height_mm):
        raise StockRefused("The margin leaves no room for words. Make it smaller.")
    try:
        refuse_crooked_stock(record)
    except PaperRefused as refusal:
        raise StockRefused(str(refusal)) from None
    row.save()
    words = f"{'Added' if is_new else 'Changed'} the label stock {row.name}."
    note_event(by=by, verb="save_label_stock", subject=row, text=words, after={"measures": _measures(row)})
    return row


@transaction.atomic
def add_printer(*, name: str, by: User) -> Printer:
    name = " ".join(name.split())
    if Printer.objects.filter(name__iexact=name).exists():
        raise StockRefused(f"There is a printer “{name}” already. Give this one another name.")
    printer = Printer.objects.create(name=name)
    note_event(by=by, verb="add_printer", subject=printer, text=f"Added the printer {printer}.")
    return printer


@transaction.atomic
def measure_printer(*, printer_id: int, stock_key: str, read: Readings, by: User) -> PrinterFit:
    """Keep the readings of a test sheet; the last ones count."""
    printer = Printer.objects.select_for_update().get(pk=printer_id)
    stock = find_stock(stock_key)
    if stock is None:
        raise StockRefused("That label stock is not there. Choose one of the list.")
    needed = correction(stock, read)
    if max(abs(needed.scale_x - 1), abs(needed.scale_y - 1)) > MOST_SCALE_OFF:
        raise StockRefused(
            "These readings mean a page more than two percent too small or too large. "
            "Print the test sheet at 100 %, not “fit to page”, and read it again."
        )
    if max(abs(needed.offset_x_mm), abs(needed.offset_y_mm)) > MOST_OFFSET_MM:
        raise StockRefused(f"The shift is more than {MOST_OFFSET_MM} mm. Check which stock and which tray were used.")
    figures = {field: getattr(read, field) for field in Readings.__dataclass_fields__}
    fit, _ = PrinterFit.objects.update_or_create(
        printer=printer, stock_key=stock_key, defaults=figures | {"measured_by": by}
    )
    after = {name: str(figure) for name, figure in figures.items()}
    words = f"Measured {printer} on {stock.name}."
    note_event(by=by, verb="measure_printer", subject=printer, text=words, after=after)
    return fit


def _measures(row: ShopStock) -> dict[str, str]:
    return {field.name: str(getattr(row, field.name)) for field in ShopStock._meta.fields if field.name != "id"}
