"""Scents in the bars of one finish against the suppliers' certificates. No Django.

Shares stand on the lowest weight the bars can dry to, because drying raises them.
"""

from collections.abc import Iterable, Mapping
from decimal import Decimal

from formulas.declaration import DeclaredInput
from formulas.label_rules.problems import Problem
from formulas.label_rules.scent_limits import ScentCeiling, scent_use
from production.batches.frozen import FrozenMaterial

ZERO = Decimal()
CERTIFICATE = "the supplier's certificate"


def scent_limits(planned: Iterable[FrozenMaterial], present: Mapping[int, FrozenMaterial]) -> dict[str, Decimal | None]:
    """Return the limit of each material by name: by the certificate on file today, else by the one of the plan."""
    limits = {material.name: material.scent_limit_percent for material in (*planned, *present.values())}
    for material in planned:
        now = present.get(material.material_id)
        if now is not None and now.scent_limit_percent is not None:
            limits[material.name] = now.scent_limit_percent
    return limits


def scent_problems(
    inputs: Iterable[DeclaredInput], limits: Mapping[str, Decimal | None], *, lowest_cured_mass_grams: Decimal
) -> tuple[Problem, ...]:
    """Stop on a scent without a limit and on one over it; several scents may share a substance, and that is said."""
    grams = _scent_grams(inputs)
    if not grams or lowest_cured_mass_grams <= 0:
        return ()
    problems: list[Problem] = []
    for name, amount in grams.items():
        limit = limits.get(name)
        ceiling = None if limit is None else ScentCeiling(CERTIFICATE, limit)
        used = scent_use(name, scent_grams=amount, lowest_cured_mass_grams=lowest_cured_mass_grams, certificate=ceiling)
        problems.extend(used.problems)
    if len(grams) > 1:
        problems.append(_shared_substances(tuple(grams)))
    return tuple(problems)


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
