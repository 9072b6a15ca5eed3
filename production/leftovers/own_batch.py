"""Write a batch that is made of own soap: its row, its weigh-out, its one jug and its few steps."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from formulas.models import Design, FormulaRevision, Material, Mold
from formulas.weighing import WeighingError
from production.batches.asked import BatchRefusal
from production.batches.contents import share_of
from production.batches.frozen import FrozenContent, FrozenContents, FrozenPlan
from production.batches.models import Batch, PortionFill, StepRecord, Weighing
from production.batches.records import freeze_material, plan_of
from production.batches.weigh_out import PlannedLine, WeighRules, planned_line
from production.planning.route import CUT, POUR, RELEASE
from production.stock.models import Lot, Origin
from soapshop.frozen_json import from_json, to_json
from soapshop.models import User, Workshop

Phase, Tolerance = Weighing.Phase, Weighing.ToleranceClass
TOLERANCES: dict[str, str] = {
    Material.Kind.FAT: Tolerance.FAT,
    Material.Kind.LIQUID: Tolerance.LIQUID,
    Material.Kind.ACID: Tolerance.DOSE,
    Material.Kind.FRAGRANCE: Tolerance.DOSE,
    Material.Kind.ESSENTIAL_OIL: Tolerance.DOSE,
}
POUR_MINUTES, CUT_MINUTES, RELEASE_MINUTES = 60, 30, 15  # common practice, no source


@dataclass(frozen=True)
class Taken:
    """So much of one lot of own soap."""

    lot: Lot
    grams: Decimal

    @property
    def contents_taken(self) -> FrozenContents:
        return share_of(from_json(FrozenContents, self.lot.contents), self.grams)


@dataclass(frozen=True)
class Added:
    """So much of a material that goes in with the soap."""

    material: Material
    grams: Decimal

    @property
    def content(self) -> FrozenContent:
        return FrozenContent(freeze_material(self.material), self.grams)


@dataclass(frozen=True)
class Shape:
    """What it becomes."""

    design: Design
    revision: FormulaRevision | None
    mold: Mold
    mold_count: int
    bars: int
    cure_days: int
    least_cure_days: int


def first_batch_of(lot: Lot) -> Batch:
    """Return the batch a lot of own soap came of, also after it was repacked; of several the first."""
    seen = {lot.pk}
    waiting = [lot.pk]
    while waiting:
        rows = list(Origin.objects.filter(lot_id__in=waiting).select_related("from_batch"))
        for row in rows:
            if row.from_batch is not None:
                return row.from_batch
        waiting = [row.from_lot_id for row in rows if row.from_lot_id is not None and row.from_lot_id not in seen]
        seen.update(waiting)
    raise BatchRefusal(f"The book does not know which batch {lot.code} came of. Choose another lot.")


def batches_of(lots: list[Lot]) -> list[Batch]:
    return list({batch.pk: batch for batch in (first_batch_of(lot) for lot in lots)}.values())


def weigh_lines_of(
    soaps: list[Taken], additions: list[Added], workshop: Workshop
) -> list[tuple[PlannedLine, Lot | None]]:
    """Return the weigh-out: the soap first, each lot a line of its own, then what goes in with it."""
    rules = WeighRules.of(workshop)
    try:
        lines: list[tuple[PlannedLine, Lot | None]] = [
            (planned_line(Phase.SOAP, Tolerance.FAT, taken.lot.material, taken.grams, rules), taken.lot)
            for taken in soaps
        ]
        for added in additions:
            kind = TOLERANCES.get(added.material.kind, Tolerance.MINOR)
            lines.append((planned_line(Phase.TRACE, kind, added.material, added.grams, rules), None))
    except WeighingError as refusal:
        raise BatchRefusal(str(refusal)) from refusal
    return lines


def write_own_batch(
    number: str,
    plan: FrozenPlan,
    shape: Shape,
    lines: list[tuple[PlannedLine, Lot | None]],
    *,
    day: date,
    by: User,
) -> Batch:
    batch = Batch.objects.create(
        number=number,
        design=shape.design,
        revision=shape.revision,
        mold=shape.mold,
        mold_count=shape.mold_count,
        planned_bars=shape.bars,
        oils_grams=plan.oils_grams,
        batter_grams=plan.batter_grams,
        frozen=to_json(plan),
        pour_on=day,
        cure_days=shape.cure_days,
        least_cure_days=shape.least_cure_days,
        created_by=by,
    )
    Weighing.objects.bulk_create(
        Weighing(
            batch=batch,
            position=position,
            **line.as_row,
            lot=lot,
        )
        for position, (line, lot) in enumerate(lines, start=1)
    )
    PortionFill.objects.create(batch=batch, letter="A", name="All of it", planned_grams=plan.batter_grams)
    _write_steps(batch, day)
    return batch


def _write_steps(batch: Batch, day: date) -> None:
    steps = (
        (POUR, "Melt down and mold" if plan_of(batch).made_of == "scraps" else "Pour", day, POUR_MINUTES),
        (CUT, "Unmold and cut", day + timedelta(days=1), CUT_MINUTES),
        (RELEASE, "Check and release", day + timedelta(days=batch.cure_days), RELEASE_MINUTES),
    )
    StepRecord.objects.bulk_create(
        StepRecord(batch=batch, position=position, key=key, label=label, due_on=due, last_on=due, minutes=minutes)
        for position, (key, label, due, minutes) in enumerate(steps, start=1)
    )
