"""What the pages of molds show."""

from dataclasses import dataclass
from decimal import Decimal

from formulas.chemistry.results import FormulaResult
from formulas.design_records import mold_of
from formulas.drawing import Picture, mold_cut_plan_svg
from formulas.fills import FillFactor
from formulas.geometry import BarSize, CavityMold, MoldError
from formulas.models import Formula, FormulaRevision, Mold
from formulas.records import reckon_revision
from formulas.scaling import ScalePlan, oils_oz_per_cubic_inch
from formulas.size_records import kept_fraction, mold_scale, own_fill

MM_PER_INCH = Decimal("25.4")  # exact by definition, international yard and pound agreement of 1959


@dataclass(frozen=True)
class MoldRow:
    """One mold as it stands in the list; volume and bars are None when its sizes do not fit together."""

    mold: Mold
    sizes: str
    volume_ml: Decimal | None
    gross_bars: int | None


@dataclass(frozen=True)
class MoldFill:
    """A formula in this mold: oils, batter and the cured bar are three weights and stay apart."""

    revision: FormulaRevision
    plan: ScalePlan
    cured_bar_grams: Decimal | None
    own: FillFactor | None  # what the size was reckoned by, where it was not the density

    @property
    def oz_per_cubic_inch(self) -> Decimal:
        """The figure makers quote: ounces of oils for a cubic inch of the batter in the mold."""
        return oils_oz_per_cubic_inch(self.plan.oils_grams / self.plan.batter_ml)


@dataclass(frozen=True)
class FillWay:
    """One way to fill a box: how it is cut, how high it is filled, and what it takes of the chosen formula."""

    mold: Mold
    fill_height_mm: Decimal | None
    bar: BarSize | None
    volume_ml: Decimal | None
    plan: ScalePlan | None
    is_here: bool


def mold_rows(*, with_shelved: bool) -> list[MoldRow]:
    molds = Mold.objects.all() if with_shelved else Mold.objects.filter(is_shelved=False)
    return [mold_row(mold) for mold in molds]


def mold_row(mold: Mold) -> MoldRow:
    try:
        shape = mold_of(mold)
    except MoldError:
        return MoldRow(mold, _sizes(mold), None, None)
    return MoldRow(mold, _sizes(mold), shape.volume_ml, shape.gross_bars)


def _sizes(mold: Mold) -> str:
    """Write the inside sizes in mm and in inches."""
    if mold.kind == Mold.Kind.CAVITY:
        return f"{mold.cavities or '?'} × {mold.cavity_ml.normalize() if mold.cavity_ml else 0:f} ml"
    sides = (mold.length_mm, mold.width_mm, mold.height_mm)
    if mold.kind == Mold.Kind.COLUMN:
        sides = (mold.diameter_mm, mold.length_mm, None)
    known = [side for side in sides if side]
    inches = " × ".join(f"{(side / MM_PER_INCH).quantize(Decimal('0.01')).normalize():f}" for side in known)
    return f"{' × '.join(f'{side.normalize():f}' for side in known)} mm ({inches} in)"


def cut_plan(mold: Mold) -> Picture | None:
    """Draw the mold from above with its cuts; a cavity has none."""
    try:
        shape = mold_of(mold)
        return None if isinstance(shape, CavityMold) else mold_cut_plan_svg(shape, end_trim_mm=mold.end_trim_mm)
    except MoldError:
        return None


def formulas_to_try() -> list[tuple[int, str]]:
    return list(Formula.objects.filter(is_shelved=False).values_list("pk", "name"))


def mold_fill(mold: Mold, typed_formula: str) -> tuple[MoldFill | None, str]:
    """Return what one filling takes of the chosen formula, and a sentence when it cannot be said."""
    if not (typed_formula.isascii() and typed_formula.isdecimal() and len(typed_formula) < 13):
        return None, ""
    revisions = FormulaRevision.objects.for_page().filter(formula_id=int(typed_formula)).order_by("-number")
    found = list(revisions)
    revision = next((each for each in found if each.is_approved), found[0] if found else None)
    if revision is None:
        return None, "That formula is not in the book. Choose one from the list."
    reckoning = reckon_revision(revision)
    try:
        plan = mold_scale(revision, reckoning.result, mold)
        fresh = plan.fresh_bar_grams
        cured = None if fresh is None else fresh * kept_fraction(reckoning.result)
    except MoldError as refusal:
        return None, str(refusal)
    return MoldFill(revision, plan, cured, own_fill(revision)), ""


def sizes_of_box(box: Mold | None) -> dict[str, Decimal | None]:
    """Return what another way to fill a box begins with."""
    return {} if box is None else {name: getattr(box, name) for name in ("length_mm", "width_mm", "height_mm")}


def ways_to_fill(mold: Mold, revision: FormulaRevision | None) -> tuple[FillWay, ...]:
    """Return the ways to fill this box, the plain one first; with a formula, what each takes of it."""
    box = mold.box or mold
    ways = [box, *box.other_ways.filter(is_shelved=False)]
    result = None if revision is None else reckon_revision(revision).result
    return tuple(_way(each, revision, result, is_here=each.pk == mold.pk) for each in ways)


def _way(mold: Mold, revision: FormulaRevision | None, result: FormulaResult | None, *, is_here: bool) -> FillWay:
    plan, height, bar = None, None, None
    try:
        shape = mold_of(mold)
        volume = shape.volume_ml * (1 - mold.headroom_percent / 100)
        if not isinstance(shape, CavityMold):
            height = shape.fill_height_mm(volume)
            bar = shape.bar_size(height)
        if revision is not None:
            plan = mold_scale(revision, result, mold)
    except MoldError:
        return FillWay(mold, height, bar, None, None, is_here)
    return FillWay(mold, height, bar, volume, plan, is_here)
