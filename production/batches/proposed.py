"""What is proposed for an order and its lines: pots, parts to have ready, days. Nothing of it is written yet."""

from dataclasses import dataclass
from datetime import date

from formulas.finishes import FinishWant
from formulas.models import FormulaRevision, Mold
from orders.models import Order, OrderLine
from production.batches.planned import PlannedFor
from production.batches.sizing import SizedBatch
from production.planning.countback import Countback


@dataclass(frozen=True)
class PourProposal:
    """One pot: the molds it fills, the bars it gives, those the order asked for, and its grams once it is sized."""

    mold: Mold
    mold_count: int
    bars_made: int
    ordered_bars: int
    wants: tuple[FinishWant, ...]
    sized: SizedBatch | None = None


@dataclass(frozen=True)
class PartsProposal:
    name: str
    pieces: int
    spares: int

    @property
    def to_make(self) -> int:
        return self.pieces + self.spares


@dataclass(frozen=True)
class LineProposal:
    line: OrderLine
    revision: FormulaRevision | None
    planned: PlannedFor
    open_bars: int
    bars_to_pour: int
    pours: tuple[PourProposal, ...] = ()
    parts: tuple[PartsProposal, ...] = ()
    countback: Countback | None = None
    problem: str = ""

    @property
    def planned_bars(self) -> int:
        return self.planned.bars

    @property
    def can_be_planned(self) -> bool:
        return bool(self.pours) and not self.problem

    @property
    def bars_made(self) -> int:
        return sum(pour.bars_made for pour in self.pours)

    @property
    def left_over(self) -> int:
        return self.bars_made - self.open_bars

    @property
    def warnings(self) -> tuple[str, ...]:
        """What a maker should know of the pots before they are planned, each once."""
        return tuple(dict.fromkeys(text for pour in self.pours if pour.sized for text in pour.sized.warnings))


@dataclass(frozen=True)
class OrderProposal:
    order: Order
    lines: tuple[LineProposal, ...]

    @property
    def open_lines(self) -> list[LineProposal]:
        return [line for line in self.lines if line.open_bars]

    @property
    def pour_by(self) -> date | None:
        return min((line.countback.pour_by for line in self.open_lines if line.countback is not None), default=None)

    @property
    def late_days(self) -> int:
        return max((line.countback.late_days for line in self.open_lines if line.countback is not None), default=0)

    @property
    def is_late(self) -> bool:
        return any(line.countback is not None and line.countback.is_late for line in self.open_lines)

    @property
    def can_be_planned(self) -> bool:
        """Every line that still needs bars can be planned; one that cannot stops the others too."""
        return bool(self.open_lines) and all(line.can_be_planned for line in self.open_lines)
