"""A batch's rows to the input of the ingredient list, finish by finish: the only seam between the two.

What was weighed counts; a line that is not weighed counts as planned, is named, and stops the printing.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from formulas.declaration import Declaration, DeclarationError, DeclarationInput, DeclaredInput, build_declaration
from formulas.declaration.records import Market, Style
from formulas.label_rules.problems import Problem
from formulas.label_rules.rows import LabelRuleError
from formulas.label_rules.rulebook import packaged_tables
from production.batches.frozen import FrozenMaterial, FrozenPart, FrozenPlan
from production.batches.models import BatchFor
from production.batches.records import WeighedInput, plan_of, weighed_inputs
from production.labels.avoided import avoid_problems
from production.labels.bar_weights import BarFacts, BarWeights, bar_weights
from production.labels.bars import bar_facts, bars_by_finish, dry_grams, hand_over_day, weighed_lot
from production.labels.declared_inputs import MILLIGRAM, declared_input, is_content, part_input, with_present_words
from production.labels.lot_weights import WeighedLot
from production.labels.present import Answerable, PresentDay
from production.labels.scents import (
    AssessedFormula,
    Ceilings,
    ScentLine,
    assessment_problem,
    scent_limits,
    scent_lines,
    scent_problems,
)
from production.part_batches.contents import true_shares

ZERO = Decimal()


@dataclass(frozen=True)
class FinishLabel:
    """The list of the bars of one finish. `refusal` says why there is none; `bars` are those that get a label."""

    key: str
    name: str
    bars: int
    parts: tuple[FrozenPart, ...]
    declaration: Declaration | None
    weights: BarWeights
    problems: tuple[Problem, ...]
    refusal: str = ""
    scents: tuple[ScentLine, ...] = ()
    lot: WeighedLot | None = None
    made_of: frozenset[int] = frozenset()  # every material in these bars, those inside parts too

    @property
    def parts_grams(self) -> Decimal:
        """What counts in the net weight and is set on after the bars were weighed at the cut."""
        later = (part for part in self.parts if part.counts_as_contents and part.attached_at != "pour")
        return sum((part.bar_grams for part in later), ZERO)

    @property
    def removed(self) -> tuple[FrozenPart, ...]:
        """What comes off before use, such as a paper band or a bought figure."""
        return tuple(part for part in self.parts if not part.counts_as_contents)

    @property
    def removed_grams(self) -> Decimal:
        """What does not count in the net weight, but was on the bars already when they were weighed."""
        return sum((part.bar_grams for part in self.removed if part.attached_at == "pour"), ZERO)


@dataclass(frozen=True)
class BatchLabels:
    """All lists of one batch for one market, in one style."""

    plan: FrozenPlan
    market: Market
    style: Style
    on: date
    hand_over: date
    basis: str
    finishes: tuple[FinishLabel, ...]
    assessed: AssessedFormula | None = None
    person: Answerable | None = None

    def finish(self, key: str) -> FinishLabel | None:
        return next((finish for finish in self.finishes if finish.key == key), None)


def batch_labels(
    batch: Any,
    present: PresentDay,
    *,
    market: Market,
    style: Style,
    on: date,
    hand_over: date | None = None,
    served: Iterable[BatchFor] | None = None,
) -> BatchLabels:
    """Work out the list of every finish. Give a batch of `batch_for_labels()`.

    `served` are the lines it is made for (`served_lines()`); None takes them from the batch.
    """
    served = list(batch.serves.all() if served is None else served)
    plan = plan_of(batch)
    lines = [line for line in weighed_inputs(batch) if is_content(line.material)]
    body = tuple(_body_input(line, present) for line in lines if line.expected_grams)
    facts = bar_facts(batch, plan, body)
    last_day = hand_over or hand_over_day(served, on=on)
    weights = bar_weights(facts, on=last_day)
    unweighed = tuple(line.material.name for line in lines if line.grams is None)
    assessed = present.assessed.get((batch.design_id, market))
    known = (*plan.materials, *(line.material for line in lines))
    ceilings = Ceilings(scent_limits(known, present.materials), assessed, present.most_scent_percent)
    report = assessment_problem(assessed, plan)
    finishes = []
    for key, bars in bars_by_finish(batch, plan).items():
        parts = _parts_of(plan, key)
        given, problems = _finish_inputs(batch.pk, body, parts, bars, weights, facts, plan, present)
        asked = _declaration_input(given, weights, market, style, on, batch.first_released_on)
        declaration, refusal = _declared(asked)
        made_of = _made_of(batch.pk, lines, parts, plan, present)
        scents = scent_lines(given, ceilings, lowest_cured_mass_grams=asked.lowest_cured_mass_grams or ZERO)
        finishes.append(
            FinishLabel(
                key,
                _finish_name(plan, key),
                bars,
                parts,
                declaration,
                weights,
                (
                    *_weighing_problems(unweighed),
                    *problems,
                    *scent_problems(scents),
                    *((report,) if report else ()),
                    *avoid_problems(served, made_of, present.ingredients),
                ),
                refusal,
                scents,
                weighed_lot(batch, key, bars=bars, facts=facts, until=last_day),
                made_of,
            )
        )
    basis = f"planned weights: {len(unweighed)} not weighed" if unweighed else "weights recorded at the bench"
    return BatchLabels(plan, market, style, on, last_day, basis, tuple(finishes), assessed, present.person)


def _body_input(line: WeighedInput, present: PresentDay) -> DeclaredInput:
    material = with_present_words(line.material, present.materials.get(line.material.material_id))
    return declared_input(material, line.expected_grams, certification_lot=line.color_certification)


def _parts_of(plan: FrozenPlan, key: str) -> tuple[FrozenPart, ...]:
    keys = next((finish.part_keys for finish in plan.finishes if finish.key == key), ())
    return tuple(part for part in plan.parts if part.key in keys)


def _finish_name(plan: FrozenPlan, key: str) -> str:
    return next((finish.label for finish in plan.finishes if finish.key == key), key.replace("+", " + ").capitalize())


def _finish_inputs(
    batch_id: int,
    body: tuple[DeclaredInput, ...],
    parts: tuple[FrozenPart, ...],
    bars: int,
    weights: BarWeights,
    facts: BarFacts,
    plan: FrozenPlan,
    present: PresentDay,
) -> tuple[tuple[DeclaredInput, ...], tuple[Problem, ...]]:
    """The share of the batter in these bars, and the parts on them. Trimmings and spoiled bars are left out."""
    share = min(weights.fresh_grams * bars / facts.batter_grams, Decimal(1)) if facts.batter_grams else ZERO
    inputs = [replace(given, grams=(given.grams * share).quantize(MILLIGRAM)) for given in body]
    problems = []
    for part in parts:
        contents = _contents(batch_id, part, plan, present)
        if not contents and part.counts_as_contents and part.unit_grams:
            problems.append(_unknown_part(part))
        elif part.counts_as_contents:
            inputs.append(part_input(part, bars=bars, ingredients=contents))
    return tuple(inputs), tuple(problems)


def _contents(
    batch_id: int, part: FrozenPart, plan: FrozenPlan, present: PresentDay
) -> tuple[tuple[FrozenMaterial, Decimal], ...]:
    """Return what a piece holds: by the pots of the lots that were really used, else as it was planned."""
    known = {material.material_id: material for material in plan.materials}
    usual = part.ingredients or present.part_contents.get(part.part_id, ())
    items = true_shares(present.part_lots.get((batch_id, part.part_id), ()), usual)
    found = []
    for material_id, percent in items:
        now = present.materials.get(material_id)
        material = known.get(material_id) or now
        if material is not None:
            found.append((with_present_words(material, now), percent))
    return tuple(found)


def _made_of(
    batch_id: int, lines: list[WeighedInput], parts: tuple[FrozenPart, ...], plan: FrozenPlan, present: PresentDay
) -> frozenset[int]:
    """What went into the pot, and what the parts that stay on the bars are made of."""
    pot = {line.material.material_id for line in lines if line.expected_grams}
    inside = (_contents(batch_id, part, plan, present) for part in parts if part.counts_as_contents)
    return frozenset(pot | {material.material_id for contents in inside for material, _ in contents})


def _declaration_input(
    inputs: tuple[DeclaredInput, ...],
    weights: BarWeights,
    market: Market,
    style: Style,
    on: date,
    first_sold: date | None,
) -> DeclarationInput:
    """Body and parts dry apart: a part keeps its weight, but for allergens all its water may be gone."""
    body = sum((given.grams for given in inputs if given.role != "part"), ZERO)
    parts = tuple(given for given in inputs if given.role == "part")
    part_grams = sum((given.grams for given in parts), ZERO)
    dry = dry_grams(inputs)
    cured = max(body * weights.cured_fraction + part_grams, dry)
    lowest = max(body * weights.lowest_fraction + dry_grams(parts), dry)
    return DeclarationInput(
        inputs=inputs,
        market=market,
        style=style,
        on_date=on,
        cured_mass_grams=cured,
        lowest_cured_mass_grams=min(lowest, cured),
        first_placed_on=first_sold,
    )


def _declared(given: DeclarationInput) -> tuple[Declaration | None, str]:
    try:
        return build_declaration(given, packaged_tables()), ""
    except (DeclarationError, LabelRuleError) as refusal:
        return None, str(refusal)


def _weighing_problems(unweighed: tuple[str, ...]) -> tuple[Problem, ...]:
    if not unweighed:
        return ()
    names = ", ".join(unweighed[:3]) + (f" and {len(unweighed) - 3} more" if len(unweighed) > 3 else "")
    return (
        Problem(
            "stop",
            "not_weighed",
            f"Not weighed yet: {names}. The list stands on planned weights.",
            "Weigh every line at the bench first.",
        ),
    )


def _unknown_part(part: FrozenPart) -> Problem:
    return Problem(
        "stop",
        "part_contents_unknown",
        f"What {part.name} is made of is not entered, so bars that carry it have no true list.",
        "Enter its ingredients on the page of the part.",
    )
