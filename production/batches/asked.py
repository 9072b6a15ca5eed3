"""What is asked of a batch before it is sized."""

from dataclasses import dataclass
from decimal import Decimal

from formulas.finishes import FinishWant
from formulas.models import Design, FormulaRevision, Mold
from orders.order_states import OrderState
from production.planning.route import CUT, HAND_OVER, POUR, RELEASE

# Orders whose bars may be planned: promised, and not yet packed.
PLANNABLE = (OrderState.ACCEPTED, OrderState.IN_PRODUCTION)

# Steps that are weighed, counted or decided on a page of their own, and ticked there.
JUDGE_TEST = "judge_test"
ITS_OWN_PAGE = (POUR, CUT, RELEASE, HAND_OVER, JUDGE_TEST)


class BatchRefusal(Exception):
    """This batch cannot be planned, or done, as asked; the message says why and the mend."""


@dataclass(frozen=True)
class BatchAsk:
    """What is to be poured: filled molds, the bars ordered from them, and the parts that go on those bars.

    ``bars`` asks for fewer bars than the molds hold, as a test pour does; they are then filled in part.
    """

    design: Design
    revision: FormulaRevision
    mold: Mold
    mold_count: int
    ordered_bars: int
    wants: tuple[FinishWant, ...] = ()
    bars: int | None = None

    @property
    def full_bars(self) -> int:
        return self.mold.usable_bars * self.mold_count

    @property
    def bars_made(self) -> int:
        return self.full_bars if self.bars is None else self.bars

    @property
    def filled_fraction(self) -> Decimal:
        """How much of the molds is filled."""
        return Decimal(self.bars_made) / self.full_bars


def known(grams: Decimal | None) -> Decimal:
    """Return a figure that must be known for a batch to be made; refuses when it is not."""
    if grams is None:
        raise BatchRefusal("The weight of this batch cannot be computed. Look at the formula's open questions first.")
    return grams
