"""What something that went otherwise does to the pot: its figures before and after, told in sentences. No Django."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from production.batches.contents import water_fraction
from production.batches.pot import InPot, fill_pot, pot_superfat

ZERO, HUNDRED = Decimal(0), Decimal(100)
SCENTS = ("fragrance", "essential_oil")
TENTH = Decimal("0.1")
# A change that no label and no mold would show (own reckoning, no source).
LEAST_SHARE = Decimal("0.005")
NOTHING = "No figure of the pot changes."
MOST_NAMES = 4


@dataclass(frozen=True)
class ScentShare:
    """One scent as percent of the dry soap, the least it can ever weigh; ``limit_percent`` None is not on file."""

    name: str
    dry_percent: Decimal
    limit_percent: Decimal | None

    @property
    def is_over(self) -> bool:
        return self.limit_percent is not None and self.dry_percent > self.limit_percent


@dataclass(frozen=True)
class PotFigures:
    """What follows from the weights in a pot, what is not weighed yet counted as planned."""

    grams: Decimal
    superfat_percent: Decimal | None
    lowest_percent: Decimal | None
    unknown: tuple[str, ...]
    scent_percent_of_oils: Decimal
    scents: tuple[ScentShare, ...]
    materials: frozenset[str]
    allergens: frozenset[str]

    @property
    def over_limit(self) -> tuple[ScentShare, ...]:
        return tuple(scent for scent in self.scents if scent.is_over)


def pot_figures(inputs: Iterable[InPot]) -> PotFigures:
    items = tuple(item for item in inputs if item.grams)
    pot = fill_pot(items)
    interval = pot_superfat(pot)
    oils = sum((item.grams for item in items if item.material.kind == "fat"), ZERO)
    scent = sum((item.grams for item in items if item.material.kind in SCENTS), ZERO)
    return PotFigures(
        grams=sum((item.grams for item in items), ZERO),
        superfat_percent=None if interval is None else interval.planned,
        lowest_percent=None if interval is None else interval.lowest,
        unknown=pot.unknown,
        scent_percent_of_oils=HUNDRED * scent / oils if oils else ZERO,
        scents=_scents(items),
        materials=frozenset(item.material.name for item in items),
        allergens=frozenset(name for item in items for name, percent in item.material.allergens if percent > 0),
    )


def _scents(items: tuple[InPot, ...]) -> tuple[ScentShare, ...]:
    dry = sum((item.grams * (1 - water_fraction(item.material)) for item in items), ZERO)
    found: dict[str, tuple[Decimal, Decimal | None]] = {}
    for item in items:
        if item.material.kind in SCENTS:
            grams = found.get(item.material.name, (ZERO, None))[0] + item.grams
            found[item.material.name] = (grams, item.material.scent_limit_percent)
    return tuple(
        ScentShare(name, HUNDRED * grams / dry if dry else ZERO, limit) for name, (grams, limit) in found.items()
    )


def effect_words(before: PotFigures, after: PotFigures, *, floor_percent: Decimal) -> str:
    """Say what changed, the gravest first; a pot in which nothing changed says so too."""
    said = (
        _superfat_words(before, after, floor_percent),
        *_limit_words(before, after),
        _scent_words(before, after),
        _names("New on the label: ", after.materials - before.materials),
        _names("No longer in it: ", before.materials - after.materials),
        _names("May have to be named as allergens: ", after.allergens - before.allergens),
        _weight_words(before, after),
    )
    return " ".join(filter(None, said)) or NOTHING


def _superfat_words(before: PotFigures, after: PotFigures, floor_percent: Decimal) -> str:
    now, was = after.superfat_percent, before.superfat_percent
    if now is None:
        return _unknown_words(after)
    from_to = f"Superfat {now:.1f} %" if was is None else f"Superfat {was:.1f} → {now:.1f} %"
    if now <= 0:
        return f"Stop: {from_to}, lye-heavy. Do not pour before fat is added."
    if now < floor_percent:
        return f"{from_to}, below the floor of {floor_percent.normalize():f} %."
    return f"{from_to}." if was is None or abs(now - was) >= TENTH / 2 else ""


def _unknown_words(after: PotFigures) -> str:
    if after.unknown:
        return (
            f"The superfat cannot be computed: no figures for {', '.join(after.unknown[:MOST_NAMES])}. "
            "A titration of the soap can clear it."
        )
    return "The superfat cannot be computed: there is no fat or no lye in the pot. Weigh what is missing."


def _limit_words(before: PotFigures, after: PotFigures) -> list[str]:
    known = {scent.name: scent.dry_percent for scent in before.scents}
    said = []
    for scent in after.scents:
        if scent.dry_percent <= known.get(scent.name, ZERO):
            continue
        if scent.limit_percent is None:
            said.append(f"{scent.name} has no limit on file: nothing is released before it is known.")
        elif scent.is_over:
            said.append(
                f"{scent.name} is {scent.dry_percent:.2f} % of the dry soap; its certificate allows "
                f"{scent.limit_percent.normalize():f} %."
            )
    return said


def _scent_words(before: PotFigures, after: PotFigures) -> str:
    was, now = before.scent_percent_of_oils, after.scent_percent_of_oils
    return f"Scent {was:.1f} → {now:.1f} % of the oils." if abs(now - was) >= TENTH / 2 else ""


def _weight_words(before: PotFigures, after: PotFigures) -> str:
    change = after.grams - before.grams
    if not before.grams or abs(change) / before.grams < LEAST_SHARE:
        return ""
    if change > 0:
        return f"The pot weighs {change:.0f} g more: the mold fills higher."
    return f"The pot weighs {-change:.0f} g less: the bars are lighter or fewer."


def _names(lead: str, names: frozenset[str]) -> str:
    listed = sorted(names)
    more = f" and {len(listed) - MOST_NAMES} more" if len(listed) > MOST_NAMES else ""
    return f"{lead}{', '.join(listed[:MOST_NAMES])}{more}." if listed else ""
