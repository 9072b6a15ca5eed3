"""Open up what was weighed: blends into what they hold, parts into pots of their own."""

from dataclasses import dataclass, replace
from decimal import Decimal

from formulas.declaration.records import DeclarationError, DeclaredInput
from formulas.label_rules.problems import Problem

# A composition typed to one decimal of a percent adds up within this share of the whole.
COMPONENT_TOLERANCE_FRACTION = Decimal("0.001")


@dataclass(frozen=True)
class Pots:
    """The batter and each part on its own, in one fixed order whatever order things were entered in."""

    body: tuple[DeclaredInput, ...]
    parts: tuple[tuple[DeclaredInput, ...], ...]
    problems: tuple[Problem, ...]

    @property
    def all(self) -> tuple[tuple[DeclaredInput, ...], ...]:
        return ((self.body,) if self.body else ()) + self.parts

    @property
    def leaves(self) -> tuple[DeclaredInput, ...]:
        return tuple(leaf for pot in self.all for leaf in pot)


def open_pots(inputs: tuple[DeclaredInput, ...]) -> Pots:
    for given in inputs:
        _refuse_impossible(given)
    problems: list[Problem] = []
    body: list[DeclaredInput] = []
    parts: list[tuple[DeclaredInput, ...]] = []
    for given in (weighed for weighed in inputs if weighed.grams):
        _open_one(given, body, parts, problems)
    body.sort(key=fixed_order)
    parts.sort(key=lambda pot: tuple(fixed_order(leaf) for leaf in pot))
    return Pots(tuple(body), tuple(parts), tuple(problems))


def fixed_order(given: DeclaredInput) -> tuple[str, str, Decimal, str]:
    """Sums and ties then never hang on the order of entry."""
    return (given.role, given.material.casefold(), -given.grams, repr(given))


def _open_one(
    given: DeclaredInput,
    pot: list[DeclaredInput],
    parts: list[tuple[DeclaredInput, ...]],
    problems: list[Problem],
) -> None:
    if given.role == "part":
        own: list[DeclaredInput] = []
        if given.components:
            for component in _components(given, problems):
                _open_one(component, own, parts, problems)
        else:
            own.append(given)
        parts.append(tuple(sorted(own, key=fixed_order)))
        return
    if not given.components:
        pot.append(given)
        return
    for component in _components(given, problems):
        _open_one(component, pot, parts, problems)


def _components(given: DeclaredInput, problems: list[Problem]) -> tuple[DeclaredInput, ...]:
    """Return the components with grams. Color blends of unknown shares are split evenly: colors stand in any order."""
    total = sum((component.grams for component in given.components), Decimal())
    if not total and given.role == "colorant":
        share = given.grams / len(given.components)
        return tuple(replace(component, grams=share) for component in given.components)
    if abs(total - given.grams) > given.grams * COMPONENT_TOLERANCE_FRACTION:
        problems.append(
            Problem(
                "stop",
                "components_do_not_add_up",
                f"{given.material} weighs {given.grams.normalize():f} g, what it is made of {total.normalize():f} g.",
                "Enter all it holds, so that the shares make 100 percent.",
            )
        )
    return tuple(component for component in given.components if component.grams)


def _refuse_impossible(given: DeclaredInput) -> None:
    if given.grams < 0:
        raise DeclarationError(f"{given.material} has a weight below zero. Correct the weighing.")
    if given.role == "alkali" and not given.components and given.alkali_kind not in ("NaOH", "KOH"):
        raise DeclarationError(f"{given.material} has no alkali kind. Say whether it is NaOH or KOH.")
    fractions = (given.water_fraction, given.fat_fraction, given.purity_fraction)
    if any(not 0 <= fraction <= 1 for fraction in fractions) or given.water_fraction + given.fat_fraction > 1:
        raise DeclarationError(f"A share of {given.material} is below 0 or above 100 percent. Correct the material.")
    if given.role == "alkali" and given.purity_fraction + given.water_fraction > 1:
        raise DeclarationError(
            f"Purity and water of {given.material} are over 100 percent in all. Correct the material."
        )
    for component in given.components:
        _refuse_impossible(component)
