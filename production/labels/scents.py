"""Scents in the bars of one finish against three ceilings: certificate, assessed formula, house rule. No Django.

Shares of the bar stand on the lowest weight the bars can dry to, because drying raises them.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from formulas.declaration import DeclaredInput
from formulas.label_rules.problems import Problem
from formulas.label_rules.scent_limits import ScentCeiling, ShareOf, scent_use
from production.batches.frozen import FrozenMaterial, FrozenPlan

ZERO = Decimal()
CERTIFICATE = "the supplier's certificate"
ASSESSED = "the assessed formula"
HOUSE = "the house rule"
ALL_SCENT = "All scent"


@dataclass(frozen=True)
class AssessedFormula:
    """What a safety report covers; `most_scent_percent` is None where it names no figure."""

    assessor: str
    report: str
    assessed_on: date
    formula_name: str
    revision_number: int
    most_scent_percent: Decimal | None = None
    share_of: ShareOf = "bar"


@dataclass(frozen=True)
class Ceilings:
    """What bounds the scents of one batch: each certificate by name, and the two rules on all scent together."""

    certificates: Mapping[str, Decimal | None]
    assessed: AssessedFormula | None = None
    house_percent: Decimal | None = None  # of the oils

    @property
    def on_all_scent(self) -> tuple[ScentCeiling, ...]:
        found = []
        assessed = self.assessed
        if assessed is not None and assessed.most_scent_percent is not None:
            found.append(ScentCeiling(ASSESSED, assessed.most_scent_percent, assessed.report, assessed.share_of))
        if self.house_percent is not None:
            found.append(ScentCeiling(HOUSE, self.house_percent, share_of="oils", level="ask"))
        return tuple(found)


@dataclass(frozen=True)
class ScentLine:
    """One scent, or all together, with each ceiling on it and the one that bites."""

    name: str
    grams: Decimal
    bar_percent: Decimal
    ceilings: tuple[ScentCeiling, ...]
    strictest: ScentCeiling | None
    most_grams: Decimal | None
    problems: tuple[Problem, ...]


def scent_limits(planned: Iterable[FrozenMaterial], present: Mapping[int, FrozenMaterial]) -> dict[str, Decimal | None]:
    """Return the limit of each material by name: by the certificate on file today, else by the one of the plan."""
    limits = {material.name: material.scent_limit_percent for material in (*planned, *present.values())}
    for material in planned:
        now = present.get(material.material_id)
        if now is not None and now.scent_limit_percent is not None:
            limits[material.name] = now.scent_limit_percent
    return limits


def scent_lines(
    inputs: Iterable[DeclaredInput], ceilings: Ceilings, *, lowest_cured_mass_grams: Decimal
) -> tuple[ScentLine, ...]:
    """Hold each scent to its certificate, and all of them together to the assessed formula and the house rule."""
    given = tuple(inputs)
    grams = _scent_grams(given)
    if not grams or lowest_cured_mass_grams <= 0:
        return ()
    oils = sum((one.grams for one in given if one.role == "fat"), ZERO)
    shared = ceilings.on_all_scent
    is_alone = len(grams) == 1
    lines = []
    for name, amount in grams.items():
        limit = ceilings.certificates.get(name)
        certificate = None if limit is None else ScentCeiling(CERTIFICATE, limit)
        others = shared if is_alone else ()
        lines.append(_line(name, amount, certificate, others, lowest_cured_mass_grams, oils))
    if not is_alone and shared:
        total = sum(grams.values(), ZERO)
        lines.append(_line(ALL_SCENT, total, None, shared, lowest_cured_mass_grams, oils))
    return tuple(lines)


def scent_problems(lines: tuple[ScentLine, ...]) -> tuple[Problem, ...]:
    """Stop on a scent without a limit and on one over it; several scents may share a substance, and that is said."""
    problems = [problem for line in lines for problem in line.problems]
    names = tuple(line.name for line in lines if line.name != ALL_SCENT)
    return (*problems, *((_shared_substances(names),) if len(names) > 1 else ()))


def assessment_problem(assessed: AssessedFormula | None, plan: FrozenPlan) -> Problem | None:
    """A report covers one revision; another one is another product until the assessor says otherwise."""
    if assessed is None:
        return None
    if (assessed.formula_name, assessed.revision_number) == (plan.formula_name, plan.revision_number):
        return None
    return Problem(
        "ask",
        "assessed_other_revision",
        f"Report {assessed.report} covers {assessed.formula_name} revision {assessed.revision_number}; "
        f"this batch is {plan.formula_name} revision {plan.revision_number}.",
        "Ask the assessor whether the report still holds, and write down the answer.",
    )


def _line(
    name: str,
    grams: Decimal,
    certificate: ScentCeiling | None,
    others: tuple[ScentCeiling, ...],
    lowest: Decimal,
    oils: Decimal,
) -> ScentLine:
    used = scent_use(
        name,
        scent_grams=grams,
        lowest_cured_mass_grams=lowest,
        certificate=certificate,
        others=others,
        oils_grams=oils,
        needs_certificate=name != ALL_SCENT,
    )
    all_of_them = (*((certificate,) if certificate else ()), *others)
    return ScentLine(name, grams, used.use_percent, all_of_them, used.limit, used.most_grams, used.problems)


def _scent_grams(inputs: Iterable[DeclaredInput]) -> dict[str, Decimal]:
    """Grams of each scent, in the batter and in the parts together."""
    found: dict[str, Decimal] = {}
    for given in inputs:
        for one in (given, *given.components):
            if one.role == "scent" and one.grams:
                found[one.material] = found.get(one.material, ZERO) + one.grams
    return found


def _shared_substances(names: tuple[str, ...]) -> Problem:
    return Problem(
        "note",
        "scents_share",
        f"{' and '.join(names) if len(names) == 2 else ', '.join(names)} stand beside each other in these bars.",
        "Where they share a restricted substance its shares add up: ask the supplier or the assessor.",
    )
