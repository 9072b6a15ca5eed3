"""The small pictures of batches on a list: each face once, with the batches that are to look like it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Case, QuerySet, TextField, When
from django.db.models.functions import Cast

from formulas.drawing import DrawnBar, Picture, bar_cross_section_svg
from production.batches.models import Batch, StepRecord
from production.batches.pictures import drawn_bar
from production.cure.rack_plans import face_in, face_of
from production.planning.route import POUR


@dataclass(frozen=True)
class PourFace:
    """Batches poured on one day that look alike."""

    picture: Picture
    batches: tuple[Batch, ...]

    @property
    def bars(self) -> int:
        return sum(batch.planned_bars for batch in self.batches)


def small_face(batch: Batch) -> Picture:
    """Return the face of a batch that was read with its plan's text."""
    return bar_cross_section_svg(drawn_bar(face_of(batch)), key=f"b{batch.pk}", is_small=True)


def with_pour_plans(steps: QuerySet[StepRecord]) -> QuerySet[StepRecord]:
    """Load the plan of each batch with its pour, as text; other steps bring none."""
    plan = Case(When(key=POUR, then=Cast("batch__frozen", TextField())), default=None, output_field=TextField())
    return steps.select_related("batch__design").defer("batch__frozen").annotate(pour_plan=plan)


def pour_faces(steps: Iterable[StepRecord], *, earliest: date = date.min) -> dict[date, tuple[PourFace, ...]]:
    """Return the faces still to be poured, by the day of their pour. Read the steps ``with_pour_plans``."""
    found: dict[date, dict[DrawnBar, list[Batch]]] = {}
    for step in steps:
        text: str | None = getattr(step, "pour_plan", None)
        if text:
            day = max(step.due_on, earliest)
            found.setdefault(day, {}).setdefault(drawn_bar(face_in(text)), []).append(step.batch)
    return {day: tuple(_face(bar, own) for bar, own in faces.items()) for day, faces in found.items()}


def _face(bar: DrawnBar, batches: list[Batch]) -> PourFace:
    return PourFace(bar_cross_section_svg(bar, key=f"pour-{batches[0].pk}", is_small=True), tuple(batches))
