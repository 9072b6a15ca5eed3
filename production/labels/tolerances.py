"""How far a single bar may fall under the printed weight: the US MAV and the European tolerable negative error."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_CEILING, Decimal

from formulas.label_rules.figures import amount
from formulas.label_rules.rows import Row, number, number_or_none, rows_in_force
from production.labels.net_weight import OUNCE_GRAMS, OUNCES_PER_POUND, NetWeightError, plain

WHOLE = Decimal(100)


@dataclass(frozen=True)
class Mav:
    """Maximum allowable variation: no bar of a lot may fall short by more. `in_label_unit` is in the unit looked up."""

    grams: Decimal
    in_label_unit: Decimal
    unit: str
    source: str
    warning: str = ""


@dataclass(frozen=True)
class TolerableError:
    """Few bars may lie under the first limit, none under the second."""

    grams: Decimal
    first_limit_grams: Decimal
    second_limit_grams: Decimal
    source: str


def mav_for(printed: Decimal, unit: str, on_date: date) -> Mav:
    """Look up by the printed figure in its own unit ("oz", "lb" or "g"), never by a converted one."""
    row = _mav_row(rows_in_force("mav_us", on_date), printed, unit)
    percent = number_or_none(row["mav_percent"])
    grams_each = {"oz": OUNCE_GRAMS, "lb": OUNCE_GRAMS * OUNCES_PER_POUND, "g": Decimal(1)}[unit]
    if percent is not None:
        share = printed * percent / WHOLE
        return Mav(share * grams_each, share, unit, row["source"])
    return Mav(number(row["mav_g"]), number(row[f"mav_{unit}"]), unit, row["source"])


def mav_for_label(*, ounces: Decimal | None, grams: Decimal, on_date: date) -> Mav:
    """Where the two printed figures fall in different rows, the smaller MAV holds, with a warning."""
    by_grams = mav_for(grams, "g", on_date)
    if ounces is None:
        return by_grams
    by_ounces = mav_for(ounces, "oz", on_date)
    smaller = min(by_ounces, by_grams, key=lambda mav: mav.grams)
    is_same_row = _row_of(ounces, "oz", on_date) is _row_of(grams, "g", on_date)
    if is_same_row:
        return smaller
    warning = (
        f"{plain(ounces)} oz and {plain(grams)} g fall in different rows of the table; the smaller allowance is used."
    )
    return Mav(smaller.grams, smaller.in_label_unit, smaller.unit, smaller.source, warning)


def tolerable_error(nominal_grams: Decimal, on_date: date) -> TolerableError:
    """Percent rows are rounded up to a tenth of a gram."""
    for row in rows_in_force("tne_eu", on_date):
        lowest, highest = number(row["nominal_g_from"]), number(row["nominal_g_to"])
        is_in = lowest < nominal_grams or (lowest == nominal_grams and row["is_lower_inside"] == "yes")
        if is_in and nominal_grams <= highest:
            error = _row_error(row, nominal_grams, on_date)
            return TolerableError(error, nominal_grams - error, nominal_grams - 2 * error, row["source"])
    raise NetWeightError(
        f"No tolerance is known for a pack of {plain(nominal_grams)} g. The table runs from 5 g to 10 kg."
    )


def _row_error(row: Row, nominal_grams: Decimal, on_date: date) -> Decimal:
    percent = number_or_none(row["tne_percent"])
    if percent is None:
        return number(row["tne_g"])
    step = amount("eu_tne_rounding_grams", on_date)
    return (nominal_grams * percent / WHOLE / step).to_integral_value(ROUND_CEILING) * step


def _row_of(printed: Decimal, unit: str, on_date: date) -> Row:
    return _mav_row(rows_in_force("mav_us", on_date), printed, unit)


def _mav_row(rows: Sequence[Row], printed: Decimal, unit: str) -> Row:
    for row in rows:
        above, up_to = number(row[f"{unit}_above"]), number_or_none(row[f"{unit}_to"])
        is_over = printed > above or (printed == above and row["is_lower_inside"] == "yes")
        is_under = up_to is None or printed < up_to or (printed == up_to and row["is_upper_inside"] == "yes")
        if is_over and is_under:
            return row
    raise NetWeightError("A net weight must be above zero. Enter the printed figure.")
