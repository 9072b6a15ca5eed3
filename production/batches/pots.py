"""How many bars one pot gives: a pour is no larger than the batter the largest pot takes."""

from decimal import Decimal

from formulas.design_records import mold_of
from formulas.models import Mold

ML_PER_LITER = Decimal(1000)
HUNDRED = Decimal(100)


def bars_from_one_pot(mold: Mold, pot_liters: Decimal | None) -> int | None:
    """Return the bars of as many whole molds as the pot fills, or None when no pot limits a pour.

    Batter is counted by volume, each mold filled up to its headroom. Raises MoldError when the mold has no volume.
    """
    if pot_liters is None:
        return None
    fill_ml = mold_of(mold).volume_ml * (1 - mold.headroom_percent / HUNDRED)
    return int(pot_liters * ML_PER_LITER // fill_ml) * mold.usable_bars
