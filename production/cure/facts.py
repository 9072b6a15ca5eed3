"""What is known about a batch on the rack, and a reason as people read it."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from production.cure.alkali import SUPERFAT_FLOOR_PERCENT, CheckMade
from production.cure.weights import SCALE_STEP_GRAMS, MarkedBar

# Under 1 % in the last week counts as steady (common practice, no source).
WEEKLY_LOSS_LIMIT_PERCENT = Decimal(1)
# No cold-process bar starts with more water than this; used while the batch's own share is not known.
MOST_WATER_PERCENT = Decimal(30)


@dataclass(frozen=True)
class CureFacts:
    """Everything known about a batch on the rack. `water_percent` and `scent_percent` are shares of the fresh bar.

    `superfat_percent` is recomputed from what was really weighed. `open_deviations` are their short titles.
    """

    poured_on: date
    today: date
    cut_on: date | None = None
    cure_days: int = 42
    least_cure_days: int = 28
    bars: tuple[MarkedBar, ...] = ()
    checks: tuple[CheckMade, ...] = ()
    open_deviations: tuple[str, ...] = ()
    has_hold: bool = False
    hold_reason: str = ""
    batch: str = ""
    superfat_percent: Decimal | None = None
    superfat_floor_percent: Decimal = SUPERFAT_FLOOR_PERCENT
    water_percent: Decimal = MOST_WATER_PERCENT
    scent_percent: Decimal = Decimal()
    scale_step_grams: Decimal = SCALE_STEP_GRAMS
    weekly_loss_limit_percent: Decimal = WEEKLY_LOSS_LIMIT_PERCENT
    forecast_ready_on: date | None = None


@dataclass(frozen=True)
class Reason:
    """Why a batch is not ready, or what the person who releases it must know (`blocks` False)."""

    code: str
    text: str
    mend: str
    blocks: bool = True
