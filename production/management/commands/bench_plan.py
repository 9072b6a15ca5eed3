"""``manage.py bench_plan``: plan made-up workshops and print what was reached, what is proven, and the time."""

import json
import time
from argparse import ArgumentParser
from dataclasses import asdict, dataclass
from typing import Any

from django.core.management.base import BaseCommand

from production.benchmark.plan_shops import SIZES, study_shop
from production.planning.engine import plan
from production.planning.plan_answer import Budget
from production.planning.plan_check import check


@dataclass(frozen=True)
class PlanCost:
    """Weighted late days at once and after the search, their bound, and how long it took by the clock and at work."""

    lines: int
    kind: str
    seed: int
    list_late_days: int
    late_days: int
    bound: int
    is_proven: bool
    batches: int
    is_sound: bool
    seconds: float
    processor_seconds: float


class Command(BaseCommand):
    help = "Plan busy and overloaded workshops that are made up; prints value, bound and time. Touches no shop."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--lines", type=int, nargs="+", choices=sorted(SIZES), default=[20, 60])
        parser.add_argument("--seeds", type=int, default=3, help="shops of each kind (3)")
        parser.add_argument("--seconds", type=float, default=5.0, help="how long each may be planned (5)")
        parser.add_argument("--json", action="store_true", help="print the figures as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        found = []
        for lines in options["lines"]:
            for is_overloaded in (False, True):
                for seed in range(1, options["seeds"] + 1):
                    found.append(_cost(lines, seed, options["seconds"], is_overloaded=is_overloaded))
                    if not options["json"]:
                        self.stdout.write(_words(found[-1]))
        if options["json"]:
            self.stdout.write(json.dumps([asdict(cost) for cost in found], indent=2))
            return
        crowded = [cost for cost in found if cost.kind == "overloaded"]
        before, after = sum(cost.list_late_days for cost in crowded), sum(cost.late_days for cost in crowded)
        fewer = f", {100 - 100 * after // before} % fewer" if before else ""
        self.stdout.write(f"Overloaded together: {before} late days at once, {after} after the search{fewer}.")


def _cost(lines: int, seed: int, seconds: float, *, is_overloaded: bool) -> PlanCost:
    asked = study_shop(lines, seed=seed, is_overloaded=is_overloaded)
    at_once = plan(asked, Budget(seconds=0))
    began, worked = time.monotonic(), time.process_time()
    answer = plan(asked, Budget(seconds=seconds))
    level = answer.levels[0]
    return PlanCost(
        lines=lines,
        kind="overloaded" if is_overloaded else "busy",
        seed=seed,
        list_late_days=at_once.score.late_days,
        late_days=level.value,
        bound=level.bound,
        is_proven=level.is_proven,
        batches=answer.score.batches,
        is_sound=not check(asked, answer.plan),
        seconds=round(time.monotonic() - began, 1),
        processor_seconds=round(time.process_time() - worked, 1),
    )


def _words(cost: PlanCost) -> str:
    proof = "proven" if cost.is_proven else f"at least {cost.bound}"
    return (
        f"{cost.lines} lines, {cost.kind} {cost.seed}: at once {cost.list_late_days}, now {cost.late_days} ({proof}), "
        f"{cost.batches} batches, {cost.seconds} s, {cost.processor_seconds} s at work"
        f"{'' if cost.is_sound else ', BREAKS A RULE'}"
    )
