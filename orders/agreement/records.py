"""From the rows of an order to the sheet that both sides agree to."""

from decimal import Decimal
from typing import Any

from formulas.drawing import DrawnBar, DrawnCell, DrawnRow
from formulas.models import FormulaLine, Material
from orders.agreement.sheet import OrderSheet, SheetFee, SheetJug, SheetLayer, SheetLine
from orders.models import HouseTerms, Order, OrderCharges, OrderLine
from orders.money.order_sum import OrderSum
from orders.money.payments import Claim
from orders.reads import LineView, order_page
from orders.records import avoid_list, design_copy, read_for_drawing
from soapshop.frozen_json import from_json, to_json
from soapshop.models import Workshop

# The face of a sheet that kept only its layers.
FACE_WIDTH_MM, FACE_HEIGHT_MM = Decimal(80), Decimal(55)


def sheet_of(order: Order, charges: OrderCharges, added: OrderSum, claim: Claim, *, currency: str) -> OrderSheet:
    """Return the sheet as the order stands now. Fetch the order with ``for_page()``."""
    views = order_page(order, workshop=Workshop.current()).lines
    read_for_drawing(view.line for view in views)
    scents = _scents([view.line for view in views])
    holds = tuple(dict.fromkeys(f"{hit.ingredient} ({hit.where})" for view in views for hit in view.hits))
    amounts = [row.quoted for row in added.lines if row.bars is not None]
    return OrderSheet(
        number=order.number,
        customer=order.customer.name,
        occasion=order.occasion,
        event_date=order.event_date,
        needed_by=order.needed_by,
        promised_date=order.promised_date,
        hand_over=order.get_hand_over_display(),
        travel_days=order.travel_days,
        lines=tuple(
            _line(view, amount, scents.get(view.line.design.formula_id, ""))
            for view, amount in zip(views, amounts, strict=True)
        ),
        fees=tuple(SheetFee(row.name, row.quoted) for row in added.lines if row.bars is None),
        discount=added.discount,
        discount_words=charges.discount_words,
        net=added.net,
        tax=added.tax,
        tax_name=charges.tax_name,
        tax_percent=charges.tax_percent,
        is_tax_inside=charges.tax_mode == "inside",
        total=added.total,
        deposit=added.deposit,
        balance=added.balance,
        currency=currency,
        valid_until=charges.valid_until,
        deposit_due_on=claim.deposit_due_on,
        balance_due_on=claim.balance_due_on,
        made_without=() if holds else avoid_list(order.customer).words,
        room_words=HouseTerms.current().shared_room_words if avoid_list(order.customer).words else "",
        on_your_list=holds,
    )


def _line(view: LineView, amount: Decimal, scent: str) -> SheetLine:
    line = view.line
    copy: dict[str, Any] = line.frozen_design or design_copy(line)
    return SheetLine(
        position=line.position,
        design=copy["design"],
        formula=copy["formula"],
        revision=copy["revision"],
        bars=line.bars,
        price_per_bar=line.price_per_bar or Decimal(0),
        amount=amount,
        finishes=tuple((words, bars) for words, bars in view.finishes),
        wording=line.wording,
        packaging=line.packaging,
        scent=scent if any(cell["scented"] for row in copy["rows"] for cell in row["portions"]) else "",
        layers=_layers(copy["rows"]),
        drawing=from_json(DrawnBar, copy["drawing"]) if copy.get("drawing") else None,
    )


def _layers(rows: list[dict[str, Any]]) -> tuple[SheetLayer, ...]:
    return tuple(
        SheetLayer(
            Decimal(row["height"]),
            tuple(
                SheetJug(cell["letter"], cell["name"], cell["color"], Decimal(cell["width"]))
                for cell in row["portions"]
            ),
        )
        for row in rows
        if row["portions"]
    )


def _scents(lines: list[OrderLine]) -> dict[int, str]:
    """Return the names of the scents in the approved revision of each formula, in one query."""
    rows = (
        FormulaLine.objects.filter(
            revision__formula__in={line.design.formula_id for line in lines},
            revision__status="approved",
            material__kind__in=Material.SCENTS,
        )
        .select_related("material", "revision")
        .order_by("pk")
    )
    found: dict[int, list[str]] = {}
    for row in rows:
        found.setdefault(row.revision.formula_id, []).append(row.material.name)
    return {formula: ", ".join(names) for formula, names in found.items()}


def drawn_line(line: SheetLine) -> DrawnBar:
    """Return what the picture of an agreed line is drawn from."""
    if line.drawing is not None:
        return line.drawing
    rows = tuple(
        DrawnRow(layer.height, tuple(DrawnCell(jug.letter, jug.color_hex, jug.width, jug.name) for jug in layer.jugs))
        for layer in line.layers
    )
    plain = (DrawnRow(Decimal(1), (DrawnCell("A", "#e8dfc8", Decimal(1), "all of it"),)),)
    return DrawnBar(title=line.design, width_mm=FACE_WIDTH_MM, height_mm=FACE_HEIGHT_MM, rows=rows or plain)


def kept_sheet(frozen: Any) -> OrderSheet:
    return from_json(OrderSheet, frozen)


def frozen_sheet(sheet: OrderSheet) -> Any:
    return to_json(sheet)
