"""Does a lot hold its printed weight? The US sampling plan and the EU/UK reference test, with the working shown.

Weights are net: wrapper, band and tag are taken off before. Nothing is rounded in the judging.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal

from formulas.label_rules.figures import amount
from formulas.label_rules.rows import Row, number, number_or_none, rows_in_force
from production.labels.net_weight import NetStatement, plain
from production.labels.tolerances import mav_for_label, tolerable_error

Outcome = Literal["pass", "fail", "more"]
ALL_WEIGHED_BELOW = 100  # SI 2006/659, Schedule 2 paragraph 4.7 (read): smaller batches are weighed whole


class LotTestError(ValueError):
    """A lot that cannot be judged from these weighings; the message is for people."""


@dataclass(frozen=True)
class SamplingPlan:
    sample_size: int
    correction_factor: Decimal | None  # None: a single bar has no average to correct
    allowed_over_mav: int
    source: str


@dataclass(frozen=True)
class Check:
    name: str
    outcome: Outcome
    working: str


@dataclass(frozen=True)
class LotResult:
    outcome: Outcome
    checks: tuple[Check, ...]
    mean_grams: Decimal
    stdev_grams: Decimal | None
    notes: tuple[str, ...] = ()


def us_sampling(lot_size: int, on_date: date) -> SamplingPlan:
    """Return how many bars are taken from the lot (category A: goods packed without a meat inspector)."""
    for row in _us_rows(on_date):
        if _holds(row["lot_from"], row["lot_to"], lot_size):
            factor = number_or_none(row["correction_factor"])
            return SamplingPlan(int(row["sample_size"]), factor, int(row["allowed_over_mav"]), row["source"])
    raise LotTestError("A lot has at least one bar. Enter how many bars there are.")


def us_average_check(
    *, mean_error_grams: Decimal, stdev_grams: Decimal | None, factor: Decimal | None, has_all_weighed: bool = False
) -> Check:
    """The average may miss by the sampling error; a maker who weighed every bar has none and uses the plain mean."""
    if mean_error_grams >= 0:
        return Check("average", "pass", f"average error {_signed(mean_error_grams)} g: at or over the label")
    if has_all_weighed or factor is None or stdev_grams is None:
        return Check(
            "average", "fail", f"average error {_signed(mean_error_grams)} g: under the label, all bars weighed"
        )
    limit = factor * stdev_grams
    is_ok = -mean_error_grams <= limit
    limit_text = f"{plain(factor)} × {_short(stdev_grams)} = {_short(limit)} g"
    working = f"average error {_signed(mean_error_grams)} g; limit {limit_text}"
    return Check("average", "pass" if is_ok else "fail", working)


def us_single_check(
    errors_grams: Sequence[Decimal], mav_grams: Decimal, *, allowed: int = 0, name: str = "single bars"
) -> Check:
    over = [error for error in errors_grams if error < -mav_grams]
    working = f"{len(over)} of {len(errors_grams)} bars short by more than {_short(mav_grams)} g; {allowed} allowed"
    return Check(name, "pass" if len(over) <= allowed else "fail", working)


def us_lot_test(*, label: NetStatement, weights_grams: Sequence[Decimal], lot_size: int, on_date: date) -> LotResult:
    """Judge a lot by NIST Handbook 133. The larger of the two printed figures is the one to hold."""
    plan = us_sampling(lot_size, on_date)
    _refuse_counts(len(weights_grams), lot_size, plan.sample_size)
    errors = [weight - label.must_hold_grams for weight in weights_grams]
    mav = mav_for_label(ounces=label.ounces, grams=label.grams, on_date=on_date)
    deviation = stdev(weights_grams)
    average = us_average_check(
        mean_error_grams=mean(errors),
        stdev_grams=deviation,
        factor=_factor_for(len(weights_grams), on_date),
        has_all_weighed=len(weights_grams) == lot_size,
    )
    single = us_single_check(errors, mav.grams, allowed=plan.allowed_over_mav)
    notes = [
        f"label {label.text}: to hold {plain(label.must_hold_grams)} g",
        f"plan: {plan.sample_size} of {lot_size} bars",
    ]
    notes += [mav.warning] if mav.warning else []
    return LotResult(_worst((average, single)), (average, single), mean(weights_grams), deviation, tuple(notes))


def eu_mean_check(
    *,
    nominal_grams: Decimal,
    mean_grams: Decimal,
    stdev_grams: Decimal | None,
    batch_size: int,
    on_date: date,
    is_destructive: bool = False,
) -> Check:
    """Accept when the mean is at least the nominal less a multiple of s; small batches take the plain mean."""
    row = _eu_row("mean", batch_size, on_date, is_destructive=is_destructive)
    factor = number(row["mean_factor"])
    limit = nominal_grams - factor * (stdev_grams or Decimal())
    working = f"mean {_short(mean_grams)} g; limit {plain(nominal_grams)} − {plain(factor)} × s = {_short(limit)} g"
    return Check("average", "pass" if mean_grams >= limit else "fail", working)


def eu_lot_test(
    *, nominal_grams: Decimal, weights_grams: Sequence[Decimal], batch_size: int, on_date: date
) -> LotResult:
    """Judge a batch by the three packers' rules: average, few under the first limit, none under the second."""
    error = tolerable_error(nominal_grams, on_date)
    size = eu_sample_size(batch_size, on_date)
    _refuse_counts(len(weights_grams), batch_size, size)
    first = weights_grams[:size]
    average = eu_mean_check(
        nominal_grams=nominal_grams,
        mean_grams=mean(first),
        stdev_grams=stdev(first),
        batch_size=batch_size,
        on_date=on_date,
    )
    short = _eu_short_check(weights_grams, error.first_limit_grams, batch_size, on_date)
    far = [weight for weight in weights_grams if weight < error.second_limit_grams]
    none_far = Check(
        "none far short",
        "fail" if far else "pass",
        f"{len(far)} bars under {plain(error.second_limit_grams)} g (nominal less twice {plain(error.grams)} g)",
    )
    checks = (average, short, none_far)
    under = sum(weight < nominal_grams for weight in weights_grams)
    notes = (f"tolerance {plain(error.grams)} g ({error.source})", f"{under} bars under the nominal weight itself")
    return LotResult(_worst(checks), checks, mean(first), stdev(first), notes)


def mean(amounts: Sequence[Decimal]) -> Decimal:
    return sum(amounts, Decimal()) / len(amounts)


def stdev(amounts: Sequence[Decimal]) -> Decimal | None:
    """Return the sample standard deviation (divisor n − 1), or None for a single weight."""
    if len(amounts) < 2:
        return None
    middle = mean(amounts)
    return (sum(((a - middle) ** 2 for a in amounts), Decimal()) / (len(amounts) - 1)).sqrt()


def _eu_short_check(weights: Sequence[Decimal], limit: Decimal, batch_size: int, on_date: date) -> Check:
    name = "few short"
    if batch_size < ALL_WEIGHED_BELOW:
        share = amount("eu_short_pack_share", on_date)
        allowed = int(share * batch_size)
        count = sum(weight < limit for weight in weights)
        working = f"{count} bars under {plain(limit)} g; {allowed} allowed ({plain(share * 100)} percent)"
        return Check(name, "pass" if count <= allowed else "fail", working)
    for stage in ("first", "second"):
        row = _eu_row("short_packs", batch_size, on_date, stage=stage)
        size = int(row["cumulative_size"])
        if len(weights) < size:
            return Check(name, "more", f"undecided: weigh {size - len(weights)} more bars for the second sample")
        count = sum(weight < limit for weight in weights[:size])
        working = f"{stage} sample of {size}: {count} bars under {plain(limit)} g; {row['accept_most']} allowed"
        if count <= int(row["accept_most"]):
            return Check(name, "pass", working)
        if count >= int(row["reject_least"]):
            return Check(name, "fail", working)
    return Check(name, "fail", working)


def eu_sample_size(batch_size: int, on_date: date) -> int:
    row = _eu_row("mean", batch_size, on_date)
    return int(row["sample_size"]) if row["sample_size"] else batch_size


def _eu_row(test: str, batch_size: int, on_date: date, *, stage: str = "", is_destructive: bool = False) -> Row:
    method = "destructive" if is_destructive else "non_destructive"
    for row in rows_in_force("sampling_eu", on_date):
        is_wanted = row["test"] == test and row["method"] in (method, "all") and row["stage"] == stage
        if is_wanted and _holds(row["batch_from"], row["batch_to"], batch_size):
            return row
    raise LotTestError("A batch has at least one bar. Enter how many bars there are.")


def _us_rows(on_date: date) -> list[Row]:
    return [row for row in rows_in_force("sampling_us", on_date) if row["category"] == "A"]


def _factor_for(weighed: int, on_date: date) -> Decimal | None:
    """More bars than the plan asks for: take the factor of the next larger sample, which is the stricter one."""
    rows = [row for row in _us_rows(on_date) if int(row["sample_size"]) >= weighed] or _us_rows(on_date)[-1:]
    return number_or_none(rows[0]["correction_factor"])


def _holds(start: str, end: str, size: int) -> bool:
    return int(start) <= size and (not end or size <= int(end))


def _refuse_counts(weighed: int, lot_size: int, sample_size: int) -> None:
    if weighed > lot_size:
        raise LotTestError(f"{weighed} bars were weighed, but the lot has {lot_size}. Correct the size of the lot.")
    if weighed < sample_size:
        raise LotTestError(f"The plan needs {sample_size} bars of this lot; {weighed} were weighed. Weigh the others.")


def _worst(checks: Sequence[Check]) -> Outcome:
    outcomes = {check.outcome for check in checks}
    return "fail" if "fail" in outcomes else "more" if "more" in outcomes else "pass"


def _short(amount_grams: Decimal) -> str:
    """Show at most four decimals; the judging uses the full figure."""
    return plain(amount_grams.quantize(Decimal("0.0001")))


def _signed(amount_grams: Decimal) -> str:
    return ("+" if amount_grams > 0 else "−" if amount_grams < 0 else "") + _short(abs(amount_grams))
