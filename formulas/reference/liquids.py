"""Liquids that stand in for water: ``liquids.csv``."""

from collections.abc import Mapping
from decimal import Decimal
from pathlib import Path

from formulas.chemistry.constants import LARGEST_ALKALI_DEMAND
from formulas.reference.rows import MaterialRow
from formulas.reference.tables import Line, Source, keyed_lines

LIQUID_COLUMNS = (
    "key name aliases water fat sugars carbohydrate sugars_taken_from protein alcohol fat_saponifies_like "
    "alkali_demand_g_naoh_per_g alkali_demand_status avoid_groups food_number "
    "status source note"
)
# Shares come from measurements that are rounded one by one.
ROUNDING_SLACK = Decimal("0.5")


def read_liquids(folder: Path, sources: Mapping[str, Source], fats: Mapping[str, MaterialRow]) -> list[MaterialRow]:
    """``fats`` by key: the fat in milk is reckoned like butterfat, that in coconut milk like coconut oil."""
    lines = keyed_lines(folder, "liquids.csv", LIQUID_COLUMNS)
    return [_liquid(line, sources, fats) for line in lines.values()]


def _liquid(line: Line, sources: Mapping[str, Source], fats: Mapping[str, MaterialRow]) -> MaterialRow:
    fat_like = _fat_like(line, fats)
    _judge_sum(line)
    return MaterialRow(
        key=line.key(),
        name=line.needed("name"),
        kind="liquid",
        aliases=line.words("aliases"),
        water_percent=line.percent("water"),
        fat_percent=line.percent("fat"),
        fat_sap_low=fat_like.sap_low if fat_like else None,
        fat_sap_high=fat_like.sap_high if fat_like else None,
        sugars_percent=_sugars(line),
        protein_percent=line.percent("protein"),
        alcohol_percent=line.percent("alcohol"),
        alkali_demand_g_naoh_per_g=line.number_or_none(
            "alkali_demand_g_naoh_per_g", least=Decimal(0), most=LARGEST_ALKALI_DEMAND
        ),
        avoid_groups=line.words("avoid_groups"),
        source=line.source("source", sources).words,
        source_status=line.status(),
        note=line.text("note"),
    )


def _fat_like(line: Line, fats: Mapping[str, MaterialRow]) -> MaterialRow | None:
    key = line.text("fat_saponifies_like")
    if key and key not in fats:
        raise line.refusal(f"“{key}” is not in oils.csv.", "Name the key of the fat that this liquid's fat is like.")
    return fats.get(key)


def _sugars(line: Line) -> Decimal | None:
    column = line.choice("sugars_taken_from", ("sugars", "carbohydrate", ""))
    return line.percent(column) if column else None


def _judge_sum(line: Line) -> None:
    parts = [line.percent(column) for column in ("water", "fat", "carbohydrate", "protein", "alcohol")]
    total = sum((part for part in parts if part), Decimal())
    if line.percent("water") is None:
        raise line.refusal("The share of water is missing.", "Enter it: the lye is mixed with it.")
    if total > 100 + ROUNDING_SLACK:
        raise line.refusal(
            f"Water, fat, carbohydrate, protein and alcohol add up to {total} %.", "They cannot pass 100 %."
        )
