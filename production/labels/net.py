"""The net weight that goes on a label, and what it stands on. No Django."""

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from formulas.label_rules.problems import Problem
from production.labels.bar_weights import BarWeights
from production.labels.lot_weights import WeighedLot, lot_problem, lot_statement, step_problem
from production.labels.net_weight import (
    US_MARKETS,
    NetStatement,
    NetWeightError,
    net_statement,
    statement_for_ounces,
    weight_problem,
)
from production.labels.net_weight_text import parse_statement

CENTIGRAM = Decimal("0.01")
OUNCES_ALONE = re.compile(r"(?ia)(?:net\s+(?:wt\.?|weight)\s+)?(\d{1,6}(?:\.\d+)?)\s*(?:oz|ounces?)\.?")
GRAMS_ALONE = re.compile(r"(?ia)(\d{1,7}(?:\.\d+)?)\s*(?:g|grams?)\.?")


@dataclass(frozen=True)
class WorkingLine:
    """One line of a sum that is shown: what it is, and the figure as it is read."""

    what: str
    figure: str


@dataclass(frozen=True)
class NetFigure:
    """`lowest_grams` is the least that the mean bar holds when it is handed over, or the lightest of weighed bars."""

    statement: NetStatement | None
    lowest_grams: Decimal
    working: tuple[WorkingLine, ...]
    problems: tuple[Problem, ...]

    @property
    def text(self) -> str:
        return self.statement.text if self.statement else ""


def net_figure(
    weights: BarWeights,
    *,
    parts_grams: Decimal,
    market: str,
    typed: str = "",
    removed_grams: Decimal = Decimal(0),
    lot: WeighedLot | None = None,
) -> NetFigure:
    """Return the figure to print: the highest that holds, or a smaller one that a person typed.

    ``removed_grams`` were on the bars when they were weighed and come off before use: no part of the contents.
    Where the finished bars themselves were weighed, they count and no forecast of their weight.
    """
    if lot is not None:
        return _weighed_figure(lot, market=market, typed=typed)
    lowest = max(weights.low_grams + parts_grams - removed_grams, Decimal(0))
    problems = [] if weights.is_weighed else [_not_weighed()]
    statement: NetStatement | None = None
    try:
        statement = read_net_weight(typed, market=market) if typed.strip() else net_statement(lowest, market=market)
    except NetWeightError as refusal:
        problems.append(Problem("stop", "net_weight_unclear", str(refusal), "Leave the box empty to print what holds."))
    if statement is not None and (over := weight_problem(statement, lowest.quantize(CENTIGRAM))):
        problems.append(over)
    if weights.outweighs_batter:
        problems.append(_outweighs(weights))
    working = _working(weights, parts_grams, removed_grams, lowest, statement)
    return NetFigure(statement, lowest, working, tuple(problems))


def _weighed_figure(lot: WeighedLot, *, market: str, typed: str) -> NetFigure:
    """Every bar holds the figure that is offered; a person may type one that the lot holds by its market's plan."""
    problems: list[Problem] = []
    statement: NetStatement | None = None
    try:
        statement = read_net_weight(typed, market=market) if typed.strip() else lot_statement(lot, market=market)
    except NetWeightError as refusal:
        problems.append(Problem("stop", "net_weight_unclear", str(refusal), "Leave the box empty to print what holds."))
    if statement is not None:
        asked = (
            lot_problem(lot, statement, market=market, rules_on=lot.on),
            step_problem(lot, statement, market=market, rules_on=lot.on),
        )
        problems += [problem for problem in asked if problem is not None]
    carried = lot.at_hand_over()
    working = [
        WorkingLine(f"Finished bars weighed on {_day(lot.on)}", f"{len(lot.bars_grams)} of {lot.lot_size}"),
        WorkingLine("Mean of them", _grams(lot.mean_grams)),
        WorkingLine("Lightest of them", _grams(lot.lightest_grams)),
        WorkingLine(f"Still to lose until {_day(lot.until)}, at most", f"{lot.loss_percent.quantize(CENTIGRAM)} %"),
        WorkingLine("Lightest then", _grams(carried.lightest_grams)),
    ]
    if statement is not None:
        working.append(WorkingLine("Printed, cut down and never up", statement.text))
        working.append(WorkingLine("An inspector holds the bars to", _grams(statement.must_hold_grams)))
    return NetFigure(statement, carried.lightest_grams, tuple(working), tuple(problems))


def _day(day: date) -> str:
    return f"{day:%b} {day.day}, {day.year}"


def read_net_weight(typed: str, *, market: str) -> NetStatement:
    """Read "4 oz", "113 g" or a whole statement; the other unit is filled in, cut down."""
    words = " ".join(typed.split())
    if market in US_MARKETS and (ounces := OUNCES_ALONE.fullmatch(words)):
        return statement_for_ounces(Decimal(ounces.group(1)), market=market)
    if grams := GRAMS_ALONE.fullmatch(words):
        return net_statement(Decimal(grams.group(1)), market=market)
    statement = parse_statement(words, market=market)
    if market in US_MARKETS and not statement.text.casefold().startswith("net"):
        return NetStatement(
            f"Net Wt {statement.text}", statement.ounces, statement.grams, statement.must_hold_grams, market
        )
    return statement


def _working(
    weights: BarWeights,
    parts_grams: Decimal,
    removed_grams: Decimal,
    lowest: Decimal,
    statement: NetStatement | None,
) -> tuple[WorkingLine, ...]:
    day = _day(weights.on)
    lines = [
        WorkingLine(f"One bar at the cut ({weights.fresh_basis})", _grams(weights.fresh_grams)),
        WorkingLine("Weighings of marked bars", str(weights.weighings)),
        WorkingLine(f"Expected on {day}", _grams(weights.expected_grams)),
        WorkingLine(f"Lowest mean on {day}, nine times in ten", _grams(weights.low_grams)),
    ]
    if parts_grams:
        lines.append(WorkingLine("Parts set on after the cut", _grams(parts_grams)))
    if removed_grams:
        lines.append(WorkingLine("Weighed with the bar, and taken off before use", f"less {_grams(removed_grams)}"))
    lines.append(WorkingLine("Lowest mean with its parts", _grams(lowest)))
    if statement is not None:
        lines.append(WorkingLine("Printed, cut down and never up", statement.text))
        lines.append(WorkingLine("An inspector holds the bars to", _grams(statement.must_hold_grams)))
    return tuple(lines)


def _grams(grams: Decimal) -> str:
    return f"{grams.quantize(CENTIGRAM)} g"


def _not_weighed() -> Problem:
    return Problem(
        "stop",
        "bar_not_weighed",
        "No marked bar of this batch has been weighed, so the net weight is only a forecast.",
        "Weigh bars on the cure rack. A trial sheet may be printed meanwhile.",
    )


def _outweighs(weights: BarWeights) -> Problem:
    return Problem(
        "ask",
        "bars_outweigh_batter",
        f"Bars of {_grams(weights.fresh_grams)} at the cut weigh more than the batter they were cut from.",
        "Check the mean weight and the count of bars at the cut.",
    )
