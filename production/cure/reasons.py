"""The reasons a batch is held or still waits, each with its mend; none of them reads the calendar alone."""

from datetime import timedelta
from decimal import Decimal

from production.cure.alkali import ZAP, AlkaliDecision, AlkaliLevel
from production.cure.facts import CureFacts, Reason
from production.cure.weights import MarkedBar, in_order

# The habit is one weighing a week.
FRESH_WEIGHING_DAYS = 7


def hold_reasons(facts: CureFacts) -> tuple[Reason, ...]:
    found = []
    if facts.has_hold:
        why = f": {facts.hold_reason.rstrip('.')}" if facts.hold_reason else ""
        found.append(Reason("hold", f"The batch is on hold{why}.", "Clear the hold, or reject it."))
    for title in facts.open_deviations:
        found.append(
            Reason("open_deviation", f"A deviation is still open: {title.rstrip('.')}.", "Close it with a decision.")
        )
    return tuple(found)


def cut_reasons(facts: CureFacts) -> tuple[Reason, ...]:
    if facts.cut_on is not None:
        return ()
    return (Reason("not_cut", "The batch is not cut yet.", "Cut it and count the bars."),)


def day_reasons(facts: CureFacts) -> tuple[Reason, ...]:
    day = (facts.today - facts.poured_on).days
    if day < 0:
        return (Reason("pour_in_future", "The pour is dated on a day still to come.", "Correct the day of the pour."),)
    left = facts.cure_days - day
    if left <= 0:
        return ()
    over_on = facts.poured_on + timedelta(days=facts.cure_days)
    text = f"Day {day} of {facts.cure_days}: {left} {'day' if left == 1 else 'days'} to go."
    return (Reason("cure_days", text, f"Wait until {over_on:%B} {over_on.day}, {over_on.year}."),)


def weight_reasons(facts: CureFacts, bars: tuple[MarkedBar, ...], week_loss: Decimal | None) -> tuple[Reason, ...]:
    if facts.cut_on is None:
        return ()
    last = max((in_order(bar)[-1].on for bar in bars if bar.weighings), default=None)
    if last is None:
        return (Reason("not_weighed", "No bar has been weighed yet.", "Weigh the marked bars."),)
    if week_loss is None:
        text = "The bars have not been weighed twice about a week apart."
        return (Reason("too_few_weighings", text, "Weigh the same bars again."),)
    found = []
    age = (facts.today - last).days
    if age > FRESH_WEIGHING_DAYS:
        found.append(Reason("old_weighing", f"The last weighing is {age} days old.", "Weigh the marked bars again."))
    if week_loss >= facts.weekly_loss_limit_percent:
        limit = f"{facts.weekly_loss_limit_percent.normalize():f}"
        text = f"The bars still lose {week_loss:.1f} % a week; steady means under {limit} %."
        found.append(Reason("still_losing", text, "Weigh again in a week."))
    return tuple(found)


def check_reasons(facts: CureFacts) -> tuple[Reason, ...]:
    """At least one check must be entered; a tongue touch is a note and does not count."""
    if any(check.method != ZAP for check in facts.checks) or facts.cut_on is None:
        return ()
    text = "No check is entered." if not facts.checks else "A tongue touch is a note, not a check."
    return (Reason("no_check", text, "Enter how the bars look, a pH or a titration."),)


def alkali_reasons(facts: CureFacts, alkali: AlkaliDecision, *, holds: bool) -> tuple[Reason, ...]:
    """Tests that hold the batch, or (holds False) what the person who releases should know; silent before the cut."""
    grave = {AlkaliLevel.HOLD, AlkaliLevel.REJECT, AlkaliLevel.STOP}
    found = [finding for finding in alkali.findings if (finding.level in grave) == holds]
    if not holds and not facts.checks:
        return ()
    return tuple(Reason(finding.code, finding.text, finding.mend, blocks=holds) for finding in found)
