"""What a batch ticket shows. Every figure arrives rounded to the step of its scale and is printed as it stands."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from formulas.drawing import DrawnBar


@dataclass(frozen=True, slots=True)
class WeighingLine:
    """One thing to weigh from one lot. Two lots for one material are two lines."""

    phase: str
    step: str
    material: str
    planned_grams: Decimal
    accept_from_grams: Decimal
    accept_to_grams: Decimal
    lot_code: str = ""  # "" prints an empty box to write the lot in
    running_total_grams: Decimal | None = None  # what the scale shows when the container is not zeroed again
    note: str = ""


@dataclass(frozen=True, slots=True)
class PortionColor:
    """``teaspoons`` are level ones by this color's own weight; None where no spoon of it was weighed."""

    name: str
    grams: Decimal
    teaspoons: Decimal | None = None


@dataclass(frozen=True, slots=True)
class PortionLine:
    """One jug of batter."""

    letter: str
    name: str
    grams: Decimal
    colors: tuple[PortionColor, ...] = ()
    pour_order: str = ""
    trace: str = ""  # "thin", "medium": how thick the batter is when it is poured


@dataclass(frozen=True, slots=True)
class ProcessStep:
    number: int
    text: str
    target: str = ""  # "38 to 43 °C"; "" leaves the box as a plain tick
    unit: str = ""  # printed in the box for the actual figure
    cautions: tuple[str, ...] = ()  # printed under the step where they bite


@dataclass(frozen=True, slots=True)
class PartLine:
    """A topper, seal or embed to have ready before the pour."""

    name: str
    count: int  # spares included
    spares: int = 0
    lot_code: str = ""
    when: str = ""


@dataclass(frozen=True, slots=True)
class CheckLine:
    """Something measured and judged: in the pot, at a yield point, or before release."""

    name: str
    limit: str = ""
    unit: str = ""
    method: str = ""


@dataclass(frozen=True, slots=True)
class CurePlan:
    pour_date: date | None = None
    ready_date: date | None = None
    weighing_dates: tuple[date, ...] = ()
    rack: str = ""


@dataclass(frozen=True, slots=True)
class EmergencyFooter:
    """Foot of each page. An empty text prints a line to fill in by hand."""

    eyewash_place: str = ""
    emergency_number: str = ""
    poison_center: str = ""


@dataclass(frozen=True, slots=True)
class BatchTicketPaper:
    batch_number: str
    product: str
    formula_code: str
    formula_revision: str
    formula_approved_date: date | None
    oil_grams: Decimal
    total_grams: Decimal
    bar_count: int
    mold: str
    printed_at: datetime  # already in the workshop's own time
    printed_by: str
    weighings: tuple[WeighingLine, ...]
    steps: tuple[ProcessStep, ...]
    copy_number: int = 1
    makes: str = "bar"  # what one of the count is called
    made_for: str = ""  # in place of the orders: "test pour", "parts, made ahead"
    order_numbers: tuple[str, ...] = ()  # numbers only: the ticket lies about open, so no customer and no price
    before_start: tuple[str, ...] = ()
    equipment: str = ""
    portions: tuple[PortionLine, ...] = ()
    drawing: DrawnBar | None = None
    parts: tuple[PartLine, ...] = ()
    in_process_checks: tuple[CheckLine, ...] = ()
    yield_points: tuple[CheckLine, ...] = ()
    cure: CurePlan = CurePlan()
    release_checks: tuple[CheckLine, ...] = ()
    emergency: EmergencyFooter = EmergencyFooter()
    notices: tuple[str, ...] = ()  # in large type: "Superseded: do not make from this ticket."
    scan_text: str = ""  # address or batch number behind the QR code; "" takes the batch number
    shop_name: str = ""
    paper_size: str = "letter"  # "letter" or "a4"
    language: str = "en"
