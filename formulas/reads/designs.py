"""What the pages of designs show."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import prefetch_related_objects

from formulas.chemistry.results import Finding
from formulas.cross_section import PortionError, portion_shares
from formulas.design_drafts import LayerDraft, drawn_drops, drawn_layers
from formulas.design_records import drawing_drops, drawing_rows, face_mm, is_round_mold, steps_of
from formulas.drawing import DrawnBar, DrawnCell, DrawnPart, DrawnRow, DrawnSwirl, Picture, bar_cross_section_svg
from formulas.geometry import MoldError
from formulas.jugs import BatterMade, PortionPlan
from formulas.models import Design, FormulaRevision, Mold, Portion
from formulas.portions import portion_plan, stirred_in_fraction
from formulas.pour_records import design_pour_findings, design_pour_time
from formulas.pouring import PourTime
from formulas.records import ONE_KILOGRAM, reckon_revision
from formulas.route_drawing import days_in_words, route_svg
from formulas.routes import Step, StepWindow, step_windows
from formulas.scaling import USUAL_VESSEL_LOSS_FRACTION, ScalePlan
from formulas.size_records import mold_scale
from soapshop.models import Workshop

HUNDRED = Decimal(100)
USUAL_CURE_DAYS = 42  # where a formula has no revision yet; common practice, no source


@dataclass(frozen=True)
class Filling:
    """One filling of the usual mold: jugs with their grams and colors, in the order of pouring."""

    revision: FormulaRevision
    plan: ScalePlan
    jugs: tuple[PortionPlan, ...]
    pour_time: PourTime
    findings: tuple[Finding, ...] = ()

    @property
    def rows(self) -> tuple[tuple[PortionPlan, Decimal], ...]:
        """Return each jug with its grams in a kilogram of batter."""
        return tuple((jug, jug.share_fraction * ONE_KILOGRAM) for jug in self.jugs)

    @property
    def vessel_loss_grams(self) -> Decimal:
        return sum((jug.vessel_allowance_grams for jug in self.jugs), Decimal(0))

    @property
    def warnings(self) -> tuple[str, ...]:
        return tuple(warning for jug in self.jugs for warning in jug.warnings)


@dataclass(frozen=True)
class RouteRow:
    step: Step
    when: str
    minutes: str


@dataclass(frozen=True)
class DesignPage:
    filling: Filling | None
    refusal: str
    route: tuple[RouteRow, ...]
    route_picture: Picture
    cure_days: int
    tones: dict[str, str]


def designs_in_use(*, with_shelved: bool) -> list[Design]:
    designs = Design.objects.for_list()
    return list(designs if with_shelved else designs.filter(is_shelved=False))


def revision_to_make(design: Design) -> FormulaRevision | None:
    """Return the approved revision of the design's formula, else its newest one; read once for a page."""
    prefetch_related_objects([design], "formula__revisions__lines__material")
    revisions = sorted(design.formula.revisions.all(), key=lambda each: -each.number)
    return approved_revision(design) or next(iter(revisions), None)


def approved_revision(design: Design) -> FormulaRevision | None:
    """Return the approved revision of the design's formula, with its lines, without a query where they are read."""
    prefetch_related_objects([design], "formula__revisions__lines__material")
    found = next((each for each in design.formula.revisions.all() if each.is_approved), None)
    if found is not None:
        found.formula = design.formula
    return found


def design_page(design: Design, *, workshop: Workshop) -> DesignPage:
    revision = revision_to_make(design)
    filling, refusal = None, "The formula has no revision yet. Write its lines, then come back."
    if revision is not None:
        revision.formula = design.formula
        try:
            filling, refusal = _filling(design, revision, workshop), ""
        except (MoldError, PortionError) as fault:
            refusal = str(fault)
    cure_days = USUAL_CURE_DAYS if revision is None else revision.cure_days
    windows = step_windows(steps_of(design), cure_days=cure_days)
    return DesignPage(
        filling=filling,
        refusal=refusal,
        route=tuple(RouteRow(window.step, days_in_words(window), _minutes(window)) for window in windows),
        route_picture=route_svg(windows),
        cure_days=cure_days,
        tones={cell.letter: cell.color_hex for row in design.rows.all() for cell in row.portions.all()},
    )


def _filling(design: Design, revision: FormulaRevision, workshop: Workshop) -> Filling:
    """Work one filling out, with what stays in each jug made in addition."""
    rows, drops = drawing_rows(design), drawing_drops(design)
    loss = USUAL_VESSEL_LOSS_FRACTION * len(portion_shares(rows, drops))
    least = workshop.least_superfat_percent
    small = reckon_revision(revision, least_superfat_percent=least).result
    plan = mold_scale(
        revision,
        small,
        design.mold,
        vessel_loss_fraction=loss,
        stirred_in_fraction=stirred_in_fraction(rows, drops),
    )
    result = reckon_revision(revision, oils_grams=plan.oils_grams, least_superfat_percent=least).result
    if result is None:
        raise MoldError("This formula cannot be made as it stands. Look at the formula first.")
    jugs = portion_plan(rows, BatterMade.of(result), drops=drops)
    lye = result.lye_concentration_percent or HUNDRED
    return Filling(
        revision=revision,
        plan=plan,
        jugs=jugs,
        pour_time=design_pour_time(revision, jugs, lye_percent=lye),
        findings=design_pour_findings(design, revision, jugs, lye_percent=lye),
    )


def _minutes(window: StepWindow) -> str:
    step = window.step
    told = [f"{step.fixed_minutes} min"] if step.fixed_minutes else []
    told += [f"{step.minutes_per_bar.normalize():f} min a bar"] if step.minutes_per_bar else []
    return " and ".join(told) or "–"


@dataclass(frozen=True)
class TypedDrawing:
    """What is typed and not saved yet, drawn; or why it cannot be drawn."""

    picture: Picture | None
    shares: tuple[tuple[str, str, Decimal], ...]
    refusal: str = ""


def typed_drawing(
    layers: Sequence[LayerDraft], parts: Sequence[DrawnPart], *, title: str, mold: Mold | None, is_beveled: bool
) -> TypedDrawing:
    try:
        shares = portion_shares(drawn_layers(layers), drawn_drops(layers))
    except PortionError as refusal:
        return TypedDrawing(None, (), str(refusal))
    width, height = face_mm(mold or Mold(kind=Mold.Kind.CAVITY))
    bar = DrawnBar(
        title=title or "New design",
        width_mm=width,
        height_mm=height,
        rows=tuple(
            DrawnRow(
                layer.height_share,
                tuple(
                    DrawnCell(cell.letter, cell.color_hex, cell.width_share, cell.name)
                    for cell in layer.cells
                    if cell.lies == Portion.Lies.CELL
                ),
                _drawn(layer, Portion.Lies.SWIRL),
            )
            for layer in layers
        ),
        drops=tuple(drop for layer in layers for drop in _drawn(layer, Portion.Lies.DROP)),
        parts=tuple(parts),
        is_beveled=is_beveled,
        is_round=mold is not None and is_round_mold(mold),
    )
    names = {cell.letter: cell.name for layer in layers for cell in layer.cells}
    return TypedDrawing(
        bar_cross_section_svg(bar, key="typed"),
        tuple((letter, names[letter], 100 * share) for letter, share in shares.items()),
    )


def _drawn(layer: LayerDraft, place: str) -> tuple[DrawnSwirl, ...]:
    return tuple(
        DrawnSwirl(cell.letter, cell.color_hex, cell.share_percent, cell.name)
        for cell in layer.cells
        if cell.lies == place
    )
