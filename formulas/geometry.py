"""Inside sizes of molds: volume, fill height, and the bars they give. All lengths in mm, all volumes in ml."""

from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal

# Circle constant, 40 digits; far more than a steel rule can read.
PI = Decimal("3.141592653589793238462643383279502884197")
CUBIC_MM_PER_ML = Decimal(1000)
MM_PER_INCH = Decimal("25.4")  # exact by definition, international yard and pound agreement of 1959
ML_PER_CUBIC_INCH = MM_PER_INCH**3 / CUBIC_MM_PER_ML  # 16.387064, exact


class MoldError(ValueError):
    """A mold, or what is asked of it, cannot be true. The message tells the mend."""


class MoldTooSmall(MoldError):
    """The batter or the bars do not fit."""


@dataclass(frozen=True)
class BarSize:
    """Size of one bar as it leaves the mold; the face is width × height, thickness is the way it was cut."""

    width_mm: Decimal
    height_mm: Decimal
    thickness_mm: Decimal
    volume_ml: Decimal


@dataclass(frozen=True)
class YieldSeen:
    """One past batch: pieces that came out of the mold and the good bars among them."""

    pieces: int
    good_bars: int

    def __post_init__(self) -> None:
        if self.pieces < 1 or not 0 <= self.good_bars <= self.pieces:
            raise MoldError("A past yield counts its pieces, and no more good bars than pieces. Correct the counts.")


@dataclass(frozen=True)
class LoafMold:
    """A long box, cut across its length into bars."""

    length_mm: Decimal
    width_mm: Decimal
    height_mm: Decimal
    bar_thickness_mm: Decimal

    def __post_init__(self) -> None:
        _need_sizes(length=self.length_mm, width=self.width_mm, height=self.height_mm, bar=self.bar_thickness_mm)
        _need_one_bar(self.length_mm, self.bar_thickness_mm)

    @property
    def base_cm2(self) -> Decimal:
        return self.length_mm * self.width_mm / 100

    @property
    def volume_ml(self) -> Decimal:
        return self.length_mm * self.width_mm * self.height_mm / CUBIC_MM_PER_ML

    @property
    def gross_bars(self) -> int:
        return _whole(self.length_mm / self.bar_thickness_mm)

    def fill_height_mm(self, volume_ml: Decimal) -> Decimal:
        return _height_in(self, volume_ml, base_mm2=self.length_mm * self.width_mm, height_mm=self.height_mm)

    def bar_size(self, fill_height_mm: Decimal | None = None) -> BarSize:
        height_mm = _fill(fill_height_mm, self.height_mm)
        volume_ml = self.width_mm * height_mm * self.bar_thickness_mm / CUBIC_MM_PER_ML
        return BarSize(self.width_mm, height_mm, self.bar_thickness_mm, volume_ml)

    def bars_after_trim(self, end_trim_mm: Decimal) -> int:
        return _bars_along(self.length_mm, end_trim_mm, self.bar_thickness_mm)


@dataclass(frozen=True)
class SlabMold:
    """A flat box, cut into a grid of rows × columns; the fill height is the thickness of the bars.

    With several layers of bars the block is cut level as well, and a bar is that part of the fill height.
    """

    length_mm: Decimal
    width_mm: Decimal
    height_mm: Decimal
    rows: int
    columns: int
    layers: int = 1

    def __post_init__(self) -> None:
        _need_sizes(length=self.length_mm, width=self.width_mm, height=self.height_mm)
        _need_counts(rows=self.rows, columns=self.columns, layers=self.layers)

    @property
    def base_cm2(self) -> Decimal:
        return self.length_mm * self.width_mm / 100

    @property
    def volume_ml(self) -> Decimal:
        return self.length_mm * self.width_mm * self.height_mm / CUBIC_MM_PER_ML

    @property
    def gross_bars(self) -> int:
        return self.rows * self.columns * self.layers

    def fill_height_mm(self, volume_ml: Decimal) -> Decimal:
        return _height_in(self, volume_ml, base_mm2=self.length_mm * self.width_mm, height_mm=self.height_mm)

    def bar_size(self, fill_height_mm: Decimal | None = None) -> BarSize:
        thickness_mm = _fill(fill_height_mm, self.height_mm) / self.layers
        long_mm, short_mm = self.length_mm / self.columns, self.width_mm / self.rows
        return BarSize(long_mm, short_mm, thickness_mm, long_mm * short_mm * thickness_mm / CUBIC_MM_PER_ML)

    def bars_after_trim(self, end_trim_mm: Decimal) -> int:
        """Return all bars of the grid: a trim narrows the outer bars of a slab, it does not take one away."""
        if 2 * end_trim_mm >= min(self.length_mm / self.columns, self.width_mm / self.rows):
            raise MoldError("The trim is as wide as a bar of this slab. Trim less, or cut fewer rows.")
        return self.gross_bars


@dataclass(frozen=True)
class CavityMold:
    """A sheet of single cavities, each one bar."""

    cavity_ml: Decimal
    cavities: int

    def __post_init__(self) -> None:
        _need_sizes(volume_of_one_cavity=self.cavity_ml)
        _need_counts(cavities=self.cavities)

    @property
    def volume_ml(self) -> Decimal:
        return self.cavity_ml * self.cavities

    @property
    def gross_bars(self) -> int:
        return self.cavities

    def bars_after_trim(self, end_trim_mm: Decimal) -> int:
        """Return all cavities; a cavity has no ends."""
        return self.cavities


@dataclass(frozen=True)
class ColumnMold:
    """A tube poured upright and cut into rounds."""

    diameter_mm: Decimal
    length_mm: Decimal
    bar_thickness_mm: Decimal

    def __post_init__(self) -> None:
        _need_sizes(diameter=self.diameter_mm, length=self.length_mm, bar=self.bar_thickness_mm)
        _need_one_bar(self.length_mm, self.bar_thickness_mm)

    @property
    def face_mm2(self) -> Decimal:
        return PI * self.diameter_mm**2 / 4

    @property
    def volume_ml(self) -> Decimal:
        return self.face_mm2 * self.length_mm / CUBIC_MM_PER_ML

    @property
    def gross_bars(self) -> int:
        return _whole(self.length_mm / self.bar_thickness_mm)

    def fill_height_mm(self, volume_ml: Decimal) -> Decimal:
        return _height_in(self, volume_ml, base_mm2=self.face_mm2, height_mm=self.length_mm)

    def bar_size(self, fill_height_mm: Decimal | None = None) -> BarSize:
        """Return the size of one round; how high the tube is filled changes their number, not their size."""
        volume_ml = self.face_mm2 * self.bar_thickness_mm / CUBIC_MM_PER_ML
        return BarSize(self.diameter_mm, self.diameter_mm, self.bar_thickness_mm, volume_ml)

    def bars_after_trim(self, end_trim_mm: Decimal) -> int:
        return _bars_along(self.length_mm, end_trim_mm, self.bar_thickness_mm)


Mold = LoafMold | SlabMold | CavityMold | ColumnMold


def usable_bars(
    mold: Mold,
    *,
    end_trim_mm: Decimal = Decimal(0),
    spoil_fraction: Decimal = Decimal(0),
    own_yields: tuple[YieldSeen, ...] = (),
) -> int:
    """Return the good bars to count on from one filling.

    The workshop's own past yields, when there are any, stand in for both the trim and the spoil guess.
    """
    if own_yields:
        pieces = sum(seen.pieces for seen in own_yields)
        good = sum(seen.good_bars for seen in own_yields)
        return mold.gross_bars * good // pieces
    if not 0 <= spoil_fraction < 1:
        raise MoldError("The share that spoils lies between 0 and 100 percent. Correct it.")
    return _whole(mold.bars_after_trim(end_trim_mm) * (1 - spoil_fraction))


def _whole(bars: Decimal) -> int:
    # A rule reads to a tenth of a millimeter: 9.9999 bars is ten bars.
    return int((bars + Decimal("0.0005")).to_integral_value(ROUND_FLOOR))


def _bars_along(length_mm: Decimal, end_trim_mm: Decimal, thickness_mm: Decimal) -> int:
    if end_trim_mm < 0 or 2 * end_trim_mm >= length_mm:
        raise MoldError("The two trimmed ends are longer than the mold. Trim less.")
    return _whole((length_mm - 2 * end_trim_mm) / thickness_mm)


def _fill(fill_height_mm: Decimal | None, height_mm: Decimal) -> Decimal:
    if fill_height_mm is None:
        return height_mm
    if not 0 < fill_height_mm <= height_mm:
        raise MoldTooSmall(
            f"A fill of {fill_height_mm:.1f} mm does not fit a mold {height_mm:.1f} mm high. "
            "Fill less, or use a taller mold."
        )
    return fill_height_mm


def _height_in(mold: Mold, volume_ml: Decimal, *, base_mm2: Decimal, height_mm: Decimal) -> Decimal:
    if volume_ml <= 0:
        raise MoldError("There is no batter to fill the mold with. Give a batter volume above 0.")
    if volume_ml > mold.volume_ml:
        over_ml = volume_ml - mold.volume_ml
        raise MoldTooSmall(
            f"The mold holds {mold.volume_ml:.0f} ml and the batter is {volume_ml:.0f} ml: "
            f"{over_ml:.0f} ml would run over. Make a smaller batch, or add a mold."
        )
    return min(volume_ml * CUBIC_MM_PER_ML / base_mm2, height_mm)


def _need_sizes(**sizes: Decimal) -> None:
    for name, size in sizes.items():
        if not size.is_finite() or size <= 0:
            raise MoldError(f"The {name.replace('_', ' ')} of a mold is above 0. Measure the inside and correct it.")


def _need_counts(**counts: int) -> None:
    for name, count in counts.items():
        if count < 1:
            raise MoldError(f"A mold has at least one of its {name}. Correct the count.")


def _need_one_bar(length_mm: Decimal, thickness_mm: Decimal) -> None:
    if thickness_mm > length_mm:
        raise MoldError("One bar is thicker than the mold is long. Cut thinner bars, or use a longer mold.")
