"""Acids, other additions, scents and alkalis: ``additives.csv`` and ``alkalis.csv``."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from formulas.chemistry.constants import LARGEST_ALKALI_DEMAND, PURITY_HIGHEST, PURITY_LOWEST
from formulas.reference.rows import MaterialRow, joined_notes, may_be_note
from formulas.reference.tables import Line, Source, keyed_lines

ADDITIVE_COLUMNS = (
    "key stands_in name aliases kind dose_low dose_high dose_basis when_added alkali_demand_g_naoh_per_g "
    "alkali_demand_status water grams_per_teaspoon is_kept_out avoid_groups may_be_groups status source note"
)
ALKALI_COLUMNS = (
    "key name aliases kind purity_low purity_low_status purity_plan purity_plan_status purity_high purity_high_status "
    "label_name source note"
)
KINDS = ("acid", "additive", "fragrance", "essential_oil", "botanical")
# Grams of batch for a gram of oils, to turn a dose printed as percent of the batch: 1446.889 / 1000 in the worked
# formula of 40 % olive, 30 % coconut, 30 % palm at 33 % lye; own reckoning.
BATCH_OVER_OILS = Decimal("1.45")
HIGHEST_DOSE = Decimal(200)


@dataclass(frozen=True)
class Dose:
    """How much is usual and when it goes in, for a material that stands in another table."""

    low_percent: Decimal | None
    high_percent: Decimal | None
    basis: str
    when_added: str


def read_additives(
    folder: Path, sources: Mapping[str, Source]
) -> tuple[list[MaterialRow], dict[str, tuple[Line, Dose]]]:
    """Return the materials, and apart from them the doses for rows that stand in another table, by key."""
    materials, doses = [], {}
    for key, line in keyed_lines(folder, "additives.csv", ADDITIVE_COLUMNS).items():
        line.source("source", sources)
        if line.choice("stands_in", ("", "oils", "liquids", "colorants")):
            doses[key] = (line, read_dose(line))
        else:
            materials.append(_additive(line, sources))
    return materials, doses


def read_dose(line: Line) -> Dose:
    low, high = line.span("dose", least=Decimal(0), most=HIGHEST_DOSE)
    basis = line.choice("dose_basis", ("oils", "portion_oils", "liquid", "batch", ""))
    if basis == "batch":
        low = low * BATCH_OVER_OILS if low is not None else None
        high = high * BATCH_OVER_OILS if high is not None else None
        basis = "oils"
    return Dose(low, high, basis, line.text("when_added"))


def _additive(line: Line, sources: Mapping[str, Source]) -> MaterialRow:
    dose = read_dose(line)
    batch_note = "The dose is printed as percent of the batch." if line.text("dose_basis") == "batch" else ""
    return MaterialRow(
        key=line.key(),
        name=line.needed("name"),
        kind=line.choice("kind", KINDS),
        aliases=line.words("aliases"),
        water_percent=line.percent("water"),
        alkali_demand_g_naoh_per_g=line.number_or_none(
            "alkali_demand_g_naoh_per_g", least=Decimal(0), most=LARGEST_ALKALI_DEMAND
        ),
        dose_low_percent=dose.low_percent,
        dose_high_percent=dose.high_percent,
        dose_basis=dose.basis,
        grams_per_teaspoon=teaspoon(line),
        when_added=dose.when_added,
        avoid_groups=(*line.words("avoid_groups"), *line.words("may_be_groups")),
        source=line.source("source", sources).words,
        source_status=line.status(),
        note=joined_notes(line.text("note"), batch_note, may_be_note(line.words("may_be_groups"))),
        is_shelved=line.is_yes("is_kept_out"),
    )


def teaspoon(line: Line) -> Decimal | None:
    """Grams in a level teaspoon of 4.93 ml: between down and lead shot there is nothing to sift into soap."""
    return line.number_or_none("grams_per_teaspoon", least=Decimal("0.2"), most=Decimal(20))


def read_alkalis(folder: Path, sources: Mapping[str, Source]) -> list[MaterialRow]:
    return [_alkali(line, sources) for line in keyed_lines(folder, "alkalis.csv", ALKALI_COLUMNS).values()]


def _alkali(line: Line, sources: Mapping[str, Source]) -> MaterialRow:
    low, plan, high = (_purity(line, end) for end in ("low", "plan", "high"))
    if not low <= plan <= high:
        raise line.refusal(f"The purities run {low}, {plan}, {high}.", "They must rise: lowest, planned, highest.")
    return MaterialRow(
        key=line.key(),
        name=line.needed("name"),
        kind="alkali",
        aliases=line.words("aliases"),
        alkali_kind=line.choice("kind", ("NaOH", "KOH")),
        purity_low_percent=low,
        purity_percent=plan,
        purity_high_percent=high,
        label_name_us=line.text("label_name"),
        label_name_eu=line.text("label_name"),
        source=line.source("source", sources).words,
        source_status=f"range {line.status('purity_low_status')}, plan {line.status('purity_plan_status')}",
        note=line.text("note"),
    )


def _purity(line: Line, end: str) -> Decimal:
    """A monograph may allow 100.5 %, for the spread of its own test; more than all of it cannot be alkali."""
    line.status(f"purity_{end}_status")
    printed = line.number_or_none(f"purity_{end}", least=PURITY_LOWEST * 100, most=Decimal(101))
    if printed is None:
        raise line.refusal(f"“purity_{end}” is empty.", "Give lowest, planned and highest purity.")
    return min(printed, PURITY_HIGHEST * 100)
