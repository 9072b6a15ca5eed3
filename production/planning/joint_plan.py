"""From a plan to the solver's hints and from its answer back to a plan."""

from collections import defaultdict
from typing import Any

from production.planning.joint_model import JointModel
from production.planning.plan_records import Plan, PlannedBatch, Share


def hint(joint: JointModel, plan: Plan) -> None:
    """Start the solver from this plan."""
    joint.model.clear_hints()
    batches = {each.key: each for each in plan.batches}
    shares: dict[tuple[str, str], int] = defaultdict(int)
    for share in plan.shares:
        shares[share.line, share.source] += share.bars
    for each in joint.candidates:
        batch = batches.get(each.key)
        if not each.must:
            joint.model.add_hint(each.present, batch is not None)
        for mold, chosen in each.chosen.items():
            joint.model.add_hint(chosen, batch is not None and batch.mold == mold)
        if batch is not None:
            for step, day in each.days.items():
                joint.model.add_hint(day, joint.number(batch.on(step)))
    for (line, source), (bars, serves) in joint.given.items():
        joint.model.add_hint(bars, shares[line, source])
        joint.model.add_hint(serves, shares[line, source] > 0)
    for line, day in plan.packs:
        joint.model.add_hint(joint.packs[line], joint.number(day))


def plan_of(joint: JointModel, solver: Any) -> Plan:
    """Read the plan that the solver found; spare batches it took are named like new ones."""
    made = [each for each in joint.candidates if solver.value(each.present)]
    batches = [
        PlannedBatch(
            each.key,
            each.design.key,
            next(mold for mold, chosen in each.chosen.items() if solver.value(chosen)),
            tuple((step.key, joint.day(solver.value(each.days[step.key]))) for step in each.design.steps),
        )
        for each in made
    ]
    shares = [
        Share(line, source, solver.value(bars))
        for (line, source), (bars, _) in joint.given.items()
        if solver.value(bars)
    ]
    packs = [(line.key, joint.day(solver.value(joint.packs[line.key]))) for line in joint.asked.lines]
    return Plan((*joint.asked.fixed, *batches), tuple(shares), tuple(packs))


def has_spare_left(joint: JointModel, plan: Plan) -> bool:
    """Say whether every design kept a spare batch unused, so that more of them would not have helped."""
    used = {each.key for each in plan.batches}
    designs = {each.design.key for each in joint.candidates if not each.must}
    return all(
        any(not each.must and each.design.key == design and each.key not in used for each in joint.candidates)
        for design in designs
    )
