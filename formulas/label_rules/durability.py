"""How long it keeps, as the European rules want it shown (Regulation (EC) No 1223/2009, Art. 19(1)(c))."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from formulas.label_rules.figures import figure
from formulas.label_rules.months import add_months, last_whole_month
from formulas.label_rules.rows import LabelRuleError

Mark = Literal["date", "open_jar", "none", "ask"]


@dataclass(frozen=True)
class DurabilityMark:
    mark: Mark
    text: str  # what stands on the label; the open jar or hourglass may stand for the words
    best_before_end: date | None
    rule: str
    mend: str = ""


def durability_mark(
    *,
    minimum_months: int,
    made_on: date,
    on_date: date,
    is_after_opening_relevant: bool | None = None,
    after_opening_months: int | None = None,
) -> DurabilityMark:
    """Up to the limit a date is printed, above it a period after opening, unless the assessor says it has no meaning.

    The month printed is the last one that ends within the durability: never a day later than was tested.
    """
    if minimum_months < 1:
        raise LabelRuleError("The durability must be at least one month. Enter what the safety assessor set.")
    limit = figure("eu_date_most_months", on_date)
    if minimum_months <= limit.amount:
        end = last_whole_month(add_months(made_on, minimum_months))
        text = f"Best used before the end of {end:%m/%Y}"
        return DurabilityMark("date", text, end, f"{limit.amount} months or less: a date ({limit.source})")
    rule = f"over {limit.amount} months: no date ({limit.source})"
    if is_after_opening_relevant is None or (is_after_opening_relevant and not after_opening_months):
        return DurabilityMark(
            "ask", "", None, rule, "Ask the safety assessor whether a period after opening applies, and how long it is."
        )
    if not is_after_opening_relevant:
        return DurabilityMark("none", "", None, rule)
    return DurabilityMark("open_jar", f"{after_opening_months}M", None, rule)
