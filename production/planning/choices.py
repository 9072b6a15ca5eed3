"""What the dates still allow when the last day to pour for the full cure has passed."""

from datetime import date, timedelta

from production.planning.answer import Choice, CountbackInput, count_text, day_text
from production.planning.days import first_pour, milestones_on, plan_forward

STOCK, PART_DELIVERY, SHORTER_CURE, PLAIN_BAR, LATER = "stock", "part_delivery", "shorter_cure", "plain_bar", "later"


def choices_left(asked: CountbackInput, *, release: date, pour_on: date, honest: date) -> tuple[Choice, ...]:
    """Return every choice that is true today, those that keep the day first. `honest` is the full-cure day in hand."""
    choices = [
        _from_stock(asked, honest),
        _shorter_cure(asked, release, pour_on),
        _plain_bar(asked, release, pour_on),
        _later(asked, pour_on, honest),
    ]
    return tuple(sorted((choice for choice in choices if choice), key=lambda choice: not choice.is_on_time))


def _from_stock(asked: CountbackInput, honest: date) -> Choice | None:
    bars = min(asked.stock_bars, asked.bars)
    in_hand = milestones_on(asked, asked.calendar.next_open(asked.today))[2] + timedelta(days=asked.handover_days)
    if bars <= 0 or in_hand >= honest:
        return None
    if bars == asked.bars:
        text = f"Take all {count_text(bars, 'bar')} from stock: in hand on {day_text(in_hand)}."
        return Choice(STOCK, text, in_hand, bars, in_hand <= asked.needed_by)
    first_part = "in time" if in_hand <= asked.needed_by else f"on {day_text(in_hand)}"
    rest = asked.bars - bars
    text = f"Deliver {count_text(bars, 'bar')} from stock {first_part} and the other {rest} on {day_text(honest)}."
    return Choice(PART_DELIVERY, text, in_hand, bars, in_hand <= asked.needed_by)


def _shorter_cure(asked: CountbackInput, release: date, pour_on: date) -> Choice | None:
    cure_days = (release - pour_on).days
    if asked.poured_on is None and pour_on < asked.today:
        return None
    if not asked.least_cure_days <= cure_days < asked.cure_days or release < asked.today:
        return None
    best_from = pour_on + timedelta(days=asked.cure_days)
    how = "Release" if asked.poured_on else f"Pour on {day_text(pour_on)} and release"
    text = (
        f"{how} after {cure_days} days instead of {asked.cure_days}: in hand on {day_text(asked.needed_by)}, "
        f"with “best from {day_text(best_from)}” on the papers and the owner's reason on the record."
    )
    return Choice(SHORTER_CURE, text, asked.needed_by, asked.bars, True, pour_on, cure_days, best_from)


def _plain_bar(asked: CountbackInput, release: date, pour_on: date) -> Choice | None:
    """A bar without toppers, seals or other parts needs no days before the pour."""
    if asked.poured_on is not None:
        return None
    plain_pour = first_pour(asked, asked.cure_days, with_parts=False)
    if plain_pour >= pour_on:
        return None
    cure_days = (release - plain_pour).days
    if cure_days >= asked.cure_days:
        text = f"Make plain bars without the parts: poured by {day_text(plain_pour)} they keep the day, fully cured."
        return Choice(PLAIN_BAR, text, asked.needed_by, asked.bars, True, plain_pour, asked.cure_days)
    if cure_days >= asked.least_cure_days:
        best_from = plain_pour + timedelta(days=asked.cure_days)
        text = (
            f"Make plain bars without the parts: poured on {day_text(plain_pour)} they cure {cure_days} days, "
            f"with “best from {day_text(best_from)}” on the papers."
        )
        return Choice(PLAIN_BAR, text, asked.needed_by, asked.bars, True, plain_pour, cure_days, best_from)
    later = plan_forward(asked, plain_pour, asked.cure_days).hand_over + timedelta(days=asked.handover_days)
    text = f"Make plain bars without the parts: in hand on {day_text(later)}."
    return Choice(PLAIN_BAR, text, later, asked.bars, False, plain_pour, asked.cure_days)


def _later(asked: CountbackInput, pour_on: date, honest: date) -> Choice:
    text = f"Agree on a later day: after the full cure the bars are in hand on {day_text(honest)}."
    return Choice(LATER, text, honest, asked.bars, honest <= asked.needed_by, pour_on, asked.cure_days)
