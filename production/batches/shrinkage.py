"""How much the bars of one order will shrink while they dry, so that bands and boxes fit them all. Rules only."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from formulas.chemistry.balance import weight_loss_fraction

# Bars end near 9 % water; a length loses about a third of what the volume loses (common practice, no source).
END_WATER_FRACTION = Decimal("0.09")
SHARE_OF_VOLUME = Decimal(3)
# Bars whose lengths differ by less than this share one band (common practice, no source).
SAME_BAND_PERCENT = Decimal("0.8")


@dataclass(frozen=True)
class DryingBar:
    """One design of an order, by the batter it is poured from."""

    name: str
    batter_grams: Decimal
    water_grams: Decimal
    lye_concentration_percent: Decimal

    @property
    def loss_percent(self) -> Decimal:
        return 100 * weight_loss_fraction(self.batter_grams, self.water_grams, END_WATER_FRACTION)

    @property
    def shrink_percent(self) -> Decimal:
        """What every length loses, percent."""
        return self.loss_percent / SHARE_OF_VOLUME


def shrink_words(bars: Iterable[DryingBar]) -> str:
    """Say when the designs of one order will differ in size, and the mend; "" when one band fits them all."""
    found = sorted({bar.name: bar for bar in bars}.values(), key=lambda bar: bar.shrink_percent)
    if len(found) < 2 or found[-1].shrink_percent - found[0].shrink_percent < SAME_BAND_PERCENT:
        return ""
    told = ", ".join(
        f"{bar.name} about {bar.shrink_percent:.1f} % (lye at {bar.lye_concentration_percent:.0f} %)" for bar in found
    )
    return (
        f"These bars shrink differently while they dry: {told} of every length. Pour them at one strength of lye, "
        "or measure bands and boxes after the cure."
    )
