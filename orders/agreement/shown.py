"""The lines of a sheet with their pictures, as both sides see them."""

from dataclasses import dataclass

from formulas.drawing import Picture, bar_cross_section_svg
from formulas.spares import bars_with_spares
from orders.agreement.records import drawn_line
from orders.agreement.sheet import OrderSheet, SheetLine
from soapshop.models import Workshop


@dataclass(frozen=True)
class ShownLine:
    line: SheetLine
    picture: Picture


@dataclass(frozen=True)
class PouredLine(ShownLine):
    """A line as the workshop sees it: ``poured`` counts its own spares, which nobody is billed for."""

    poured: int


def shown_lines(sheet: OrderSheet) -> tuple[ShownLine, ...]:
    return tuple(ShownLine(line, _picture(line, number)) for number, line in enumerate(sheet.lines))


def poured_lines(sheet: OrderSheet, *, workshop: Workshop) -> tuple[PouredLine, ...]:
    percent, least = workshop.bar_spare_percent, workshop.bar_spare_least
    return tuple(
        PouredLine(line, _picture(line, number), bars_with_spares(line.bars, percent=percent, least=least))
        for number, line in enumerate(sheet.lines)
    )


def _picture(line: SheetLine, number: int) -> Picture:
    return bar_cross_section_svg(drawn_line(line), key=f"line-{number}")
