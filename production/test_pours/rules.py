"""When a test pour may stand for its design, and by when a new scent has to be tried. Rules only."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

# How a scent thickens the batter shows at the pour, whether it holds shows at the cut, a day later; what it does to
# light soap shows after two to three weeks (public maker threads).
COLOR_DAYS = 21
DAYS_BEFORE_POUR = COLOR_DAYS + 1


class TestPourRefused(Exception):
    """This test pour cannot be planned, or judged, as asked; the message says why and the mend."""

    __test__ = False


@dataclass(frozen=True)
class TriedBatch:
    """What is known of a test pour when somebody wants to judge it. ``stopped`` says why a batch is out of the game."""

    number: str
    design: str
    poured_on: date | None
    cut_on: date | None
    good_bars: int
    stopped: str = ""
    drawing_changed: bool = False


def check_judged(tried: TriedBatch, *, learned: str, on: date) -> None:
    """Refuse a judgment about a batch that nobody has poured and cut, and one without a word."""
    if tried.poured_on is None:
        raise TestPourRefused(f"{tried.number} is not poured yet. Pour it, cut it, then judge it.")
    if tried.cut_on is None:
        raise TestPourRefused(f"{tried.number} is not cut yet. Cut it and look at the face, then judge it.")
    if on < tried.cut_on:
        raise TestPourRefused("The day of the judgment lies before the cut. Check the day.")
    if len(learned.strip()) < 3:
        raise TestPourRefused("Say in a sentence what it taught, also when all went as drawn.")


def check_approval(tried: TriedBatch, *, learned: str, changed_since: str, on: date) -> None:
    """Refuse to approve a design from a pour that cannot stand for it."""
    check_judged(tried, learned=learned, on=on)
    if tried.stopped:
        raise TestPourRefused(
            f"{tried.number} is {tried.stopped}, so its design cannot be approved from it. Pour a new test."
        )
    if not tried.good_bars:
        raise TestPourRefused(f"{tried.number} gave no good bar. Turn it down, and pour a new test.")
    if tried.drawing_changed and not changed_since.strip():
        raise TestPourRefused(
            f"{tried.design} was changed after this test was planned. Say what was changed and why that needs no new "
            "test, or pour one."
        )


def color_shows_on(poured_on: date) -> date:
    """Return the day from which a late browning can be ruled out."""
    return poured_on + timedelta(days=COLOR_DAYS)


def try_by(pour_on: date) -> date:
    """Return the last day to pour a test whose color is known before the main pour."""
    return pour_on - timedelta(days=DAYS_BEFORE_POUR)


def untried_words(scents: Iterable[str], *, design: str, is_drawn_new: bool, pour_on: date | None) -> str:
    """Say what was never poured here and by when a test would tell; nothing when all of it is known."""
    names = list(scents)
    if not names and not is_drawn_new:
        return ""
    what = f"{_and(names)} {'were' if len(names) > 1 else 'was'} never poured here" if names else ""
    if is_drawn_new:
        what = f"{what}, nor was {design}" if what else f"{design} was never poured here"
    if pour_on is None:
        return f"{what}. Pour a test first, or tell the customer about the risk in the quote."
    day = try_by(pour_on) if names else pour_on - timedelta(days=2)
    why = "three weeks show speed and color" if names else "a day later the cut shows the drawing"
    return (
        f"{what}. Pour a test by {day:%b} {day.day}, {day.year} ({why}), "
        "or tell the customer about the risk in the quote."
    )


def _and(names: list[str]) -> str:
    return " and ".join((", ".join(names[:-1]), names[-1])) if len(names) > 1 else names[0]
