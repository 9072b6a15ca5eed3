"""Questions an input must answer before anything is planned: nothing that can never fit may reach the planner."""

from collections.abc import Iterator

from production.planning.plan_records import (
    CUT,
    POUR,
    RELEASE,
    PlanDesign,
    PlanInput,
    PlanProblem,
    minutes_of,
)


def validate(asked: PlanInput) -> tuple[PlanProblem, ...]:
    """Return every reason why this input cannot be planned; empty when it can."""
    return (
        *_double_keys(asked),
        *_counts(asked),
        *_lines(asked),
        *(problem for design in asked.designs for problem in _design(asked, design)),
    )


def _double_keys(asked: PlanInput) -> Iterator[PlanProblem]:
    groups = {
        "design": [each.key for each in asked.designs],
        "line": [each.key for each in asked.lines],
        "source of bars": [lot.key for lot in asked.stock] + [batch.key for batch in (*asked.fixed, *asked.movable)],
        "mold": [key for key, _ in asked.molds],
        "day": [each.day.isoformat() for each in asked.bench],
        "ingredient": [each.ingredient for each in asked.supplies],
    }
    for noun, keys in groups.items():
        for key in sorted({key for key in keys if keys.count(key) > 1}):
            yield PlanProblem("double", f"The {noun} {key} is there twice.", "Remove one of the two.")


def _counts(asked: PlanInput) -> Iterator[PlanProblem]:
    counts = [asked.rack_bars, asked.pours_per_day, asked.buffer_days]
    counts += [each.minutes for each in asked.bench] + [count for _, count in asked.molds]
    counts += [line.bars for line in asked.lines] + [lot.bars for lot in asked.stock]
    counts += [line.weight for line in asked.lines]
    counts += [each.on_hand_mg for each in asked.supplies]
    counts += [amount for each in asked.supplies for _, amount in each.deliveries]
    if min(counts) < 0:
        yield PlanProblem("negative", "A count is below zero.", "Enter zero or more.")
    if not any(each.minutes > 0 and each.day >= asked.today for each in asked.bench):
        yield PlanProblem("no_bench", "There is no working day from today on.", "Open some days in the calendar.")


def _lines(asked: PlanInput) -> Iterator[PlanProblem]:
    known = {each.key for each in asked.designs}
    longest = max((each.minutes for each in asked.bench), default=0)
    asking = [(line.design, line.key) for line in asked.lines] + [(lot.design, lot.key) for lot in asked.stock]
    for design, key in asking + [(batch.design, batch.key) for batch in (*asked.fixed, *asked.movable)]:
        if design not in known:
            yield PlanProblem("unknown_design", f"{key} asks for a design that is not given.", "Add the design.")
    packing = {each.key: each.pack_tenths_per_bar for each in asked.designs}
    for line in asked.lines:
        minutes = -(-packing.get(line.design, 0) * line.bars // 10)
        if minutes > longest:
            text = f"Packing {line.key} takes {minutes} minutes, but the longest day has {longest}."
            yield PlanProblem("pack_too_long", text, "Split the line, or open a longer day.")


def _design(asked: PlanInput, design: PlanDesign) -> Iterator[PlanProblem]:
    steps = {step.key: step for step in design.steps}
    if not {POUR, CUT, RELEASE} <= set(steps) or len(steps) < len(design.steps):
        text = f"The steps of {design.key} must name pour, cut and release once each."
        yield PlanProblem("steps", text, "Complete the steps.")
        return
    if any(step.anchor not in steps or (step.anchor == step.key) != (step.key == POUR) for step in design.steps):
        yield PlanProblem("anchor", f"A step of {design.key} is counted from nothing.", "Count it from the pour.")
        return
    if any(step.most_days is not None and step.most_days < step.least_days for step in design.steps):
        yield PlanProblem("window", f"A step of {design.key} has fewer most than least days.", "Swap the figures.")
    owned = {key: count for key, count in asked.molds if count > 0}
    longest = max((each.minutes for each in asked.bench), default=0)
    fitting = [
        each
        for each in design.yields
        if each.is_for_new and owned.get(each.mold_type, 0) >= each.filled and 0 < each.net_bars <= each.gross_bars
    ]
    if not fitting:
        yield PlanProblem("no_mold", f"No mold of the workshop gives bars of {design.key}.", "Add a mold or a yield.")
        return
    if min(each.gross_bars for each in fitting) > asked.rack_bars:
        text = f"The smallest batch of {design.key} has more bars than the rack's {asked.rack_bars}."
        yield PlanProblem("rack", text, "Add rack places or use a smaller mold.")
    smallest = min(each.gross_bars for each in fitting)
    for step in design.steps:
        minutes = minutes_of(step, smallest)
        if minutes > longest:
            text = f"“{step.key}” of {design.key} takes {minutes} minutes; the longest day has {longest}."
            yield PlanProblem("step_too_long", text, "Use a smaller mold, or open a longer day.")
