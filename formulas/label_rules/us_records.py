"""What US cosmetic law asks besides the label: is the business small, and how long are reports kept."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from formulas.label_rules.figures import amount, figure
from formulas.label_rules.rows import LabelRuleError


@dataclass(frozen=True)
class RecordDuty:
    average_sales_usd: Decimal
    is_small_business: bool  # free of facility registration, product listing and manufacturing-practice rules
    report_years: int  # how long reports of bad reactions are kept
    serious_report_days: int  # business days to report a serious one
    text: str
    source: str


def record_duty(
    yearly_sales_usd: Sequence[Decimal], on_date: date, *, has_excluded_products: bool = False
) -> RecordDuty:
    """Average the US cosmetic sales of the last years. Some products, such as those for the eye, undo the relief."""
    years = int(amount("us_small_business_years", on_date))
    if len(yearly_sales_usd) != years:
        raise LabelRuleError(f"The rule looks at {years} years of sales. Enter one figure for each, 0 for none.")
    average = sum(yearly_sales_usd, Decimal()) / years
    limit = figure("us_small_business_usd", on_date)
    is_small = average < limit.amount and not has_excluded_products
    kept = int(amount("us_adverse_event_small_years" if is_small else "us_adverse_event_years", on_date))
    text = (
        f"Average sales {average:,.0f} USD a year, limit {limit.amount:,.0f} USD before inflation: "
        f"{'a small business' if is_small else 'not a small business'}. Keep reports of bad reactions for {kept} years."
    )
    days = int(amount("us_serious_event_report_days", on_date))
    return RecordDuty(average, is_small, kept, days, text, limit.source)
