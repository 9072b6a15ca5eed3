"""What the pages of test pours show, and which scents the shop has never poured."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from formulas.models import Design, FormulaRevision, Material
from formulas.reads.designs import approved_revision
from production.batches.models import Batch, Weighing
from production.batches.reads import SHAPES
from production.test_pours.models import TestPour
from production.test_pours.rules import color_shows_on, untried_words
from soapshop.panels import Panel

VERDICT_SHAPES = {"": "open", TestPour.Verdict.APPROVED.value: "done", TestPour.Verdict.TURNED_DOWN.value: "struck"}
SCENTS = (Material.Kind.FRAGRANCE, Material.Kind.ESSENTIAL_OIL)


@dataclass(frozen=True)
class TestPourRow:
    pour: TestPour

    __test__ = False

    @property
    def batch(self) -> Batch:
        return self.pour.batch

    @property
    def shape(self) -> str:
        return SHAPES[self.batch.state]

    @property
    def verdict_shape(self) -> str:
        return VERDICT_SHAPES[self.pour.verdict]


@dataclass(frozen=True)
class TestPourPage:
    """One test pour; ``color_day`` is named while a late browning cannot be ruled out yet."""

    row: TestPourRow
    drawing_changed: bool
    color_day: date | None

    __test__ = False

    @property
    def color_words(self) -> str:
        if self.color_day is None:
            return ""
        return (
            f"A scent may brown light soap within three weeks; they are over on {self.color_day:%b} "
            f"{self.color_day.day}. Approve it earlier only if its color is no question."
        )


def test_pour_page(pour: TestPour, *, today: date) -> TestPourPage:
    batch = pour.batch
    shows_on = None if batch.poured_on is None or not has_scent(batch) else color_shows_on(batch.poured_on)
    return TestPourPage(
        row=TestPourRow(pour),
        drawing_changed=batch.design.saves != pour.design_saves,
        color_day=shows_on if shows_on is not None and shows_on > today and pour.is_open else None,
    )


def has_scent(batch: Batch) -> bool:
    return batch.weighings.filter(material__kind__in=SCENTS).exists()


def test_pours_panel(design: Design) -> Panel:
    """The test pours of a design and the way to plan one; what was never poured here is said with it."""
    pours = TestPour.objects.filter(batch__design=design).select_related("batch__design", "judged_by")
    revision = approved_revision(design)
    words = "" if revision is None else untried([design], {design.formula_id: revision}).get(design.pk, "")
    context = {"design": design, "rows": [TestPourRow(pour) for pour in pours], "untried": words}
    return Panel("production/panels/test_pours.html", context, rank=5)


def untried(
    designs: Iterable[Design], revisions: dict[int, FormulaRevision], *, pour_on: dict[int, date] | None = None
) -> dict[int, str]:
    """Return by design what was never poured here, in words; two queries for all of them."""
    designs = list(designs)
    scents = _scents_by_revision(revision.pk for revision in revisions.values())
    wanted = {scent.pk for found in scents.values() for scent in found}
    poured = Weighing.objects.filter(material_id__in=wanted, actual_grams__gt=0, batch__poured_on__isnull=False)
    known = set(poured.order_by().values_list("material_id", flat=True).distinct())
    cut = Batch.objects.filter(design__in=designs, cut_on__isnull=False).order_by()
    drawn = set(cut.values_list("design_id", flat=True).distinct())
    found = {}
    for design in designs:
        revision = revisions.get(design.formula_id)
        names = [scent.name for scent in scents.get(revision.pk, ()) if scent.pk not in known] if revision else []
        words = untried_words(
            names,
            design=design.name,
            is_drawn_new=design.pk not in drawn and not design.is_approved,
            pour_on=(pour_on or {}).get(design.pk),
        )
        if words:
            found[design.pk] = words
    return found


def _scents_by_revision(revision_ids: Iterable[int]) -> dict[int, list[Material]]:
    found: dict[int, list[Material]] = {}
    rows = FormulaRevision.objects.filter(pk__in=list(revision_ids)).prefetch_related("lines__material")
    for revision in rows:
        found[revision.pk] = [line.material for line in revision.lines.all() if line.material.is_scent]
    return found
