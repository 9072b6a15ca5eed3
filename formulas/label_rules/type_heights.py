"""Legal heights of letters and figures, looked up by panel area or nominal weight. Millimeters are exact, unrounded.

A workshop that was told another rule gives its own rows; otherwise the packaged table of the day is used.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from formulas.label_rules.figures import amount, figure
from formulas.label_rules.rows import Row, number, row_for_size, rows_in_force

MM_PER_IN = Decimal("25.4")


@dataclass(frozen=True)
class TypeHeight:
    height_mm: Decimal
    height_in: Decimal
    fraction_in: str  # as the rule prints it; empty where the rule is metric
    source: str
    has_bottom_rule: bool = False
    is_bold: bool = False


def us_net_weight_height(
    area_sq_in: Decimal, on_date: date, *, is_molded: bool = False, rows: Sequence[Row] | None = None
) -> TypeHeight:
    """Molded or embossed letters stand a sixteenth of an inch taller."""
    row = row_for_size(
        rows or rows_in_force("type_height_us", on_date), area_sq_in, above="sq_in_above", up_to="sq_in_to"
    )
    height = number(row["molded_height_in" if is_molded else "height_in"])
    fraction = "" if is_molded else row["height_fraction"]
    return TypeHeight(height * MM_PER_IN, height, fraction, row["source"], row["has_bottom_rule"] == "yes")


def us_list_height(labeling_surface_sq_in: Decimal, on_date: date) -> TypeHeight:
    """Return the least letter height of a US ingredient list for all the surface that is free for labeling."""
    is_small = labeling_surface_sq_in < amount("us_list_small_surface_sq_in", on_date)
    found = figure("us_list_small_height_in" if is_small else "us_list_height_in", on_date)
    return TypeHeight(found.amount * MM_PER_IN, found.amount, "1/32" if is_small else "1/16", found.source)


def eu_figure_height(nominal_grams: Decimal, on_date: date, *, rows: Sequence[Row] | None = None) -> TypeHeight:
    row = row_for_size(
        rows or rows_in_force("type_height_eu", on_date), nominal_grams, above="nominal_g_above", up_to="nominal_g_to"
    )
    height = number(row["height_mm"])
    return TypeHeight(height, height / MM_PER_IN, "", row["source"])


def ca_numeral_height(surface_cm2: Decimal, on_date: date, *, rows: Sequence[Row] | None = None) -> TypeHeight:
    """Looked up in square centimeters: the two area columns of the rule part slightly at the steps."""
    row = row_for_size(rows or rows_in_force("type_height_ca", on_date), surface_cm2, above="cm2_above", up_to="cm2_to")
    height = number(row["height_mm"])
    return TypeHeight(height, height / MM_PER_IN, "", row["source"], is_bold=True)
