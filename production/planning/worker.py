"""Plan in a process of its own, with limits on time and memory: a fault of the solver must not take the shop down.

``python -m production.planning.worker`` reads one JSON object {"what": "plan" or "ladder", "asked": …, "budget": …} and
writes one answer, or the rungs of the ladder.
"""

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

from production.planning.engine import plan
from production.planning.plan_answer import Budget, PlanAnswer
from production.planning.plan_json import as_json, from_json
from production.planning.plan_records import PlanInput
from production.planning.repair import Rung, ladder

ROOT = Path(__file__).resolve().parents[2]
# Loading the solver and building the model come on top of the seconds it may look.
GRACE_SECONDS = 20
MEMORY_BYTES = 4 * 1024**3
BROKE_OFF = "The solver broke off or took too long, so this plan was made at once by the list schedule."


def plan_apart(asked: PlanInput, budget: Budget) -> PlanAnswer:
    """Plan in a process of its own; when that breaks off, the list schedule answers here."""
    try:
        return from_json(PlanAnswer, _ask("plan", asked, budget))
    except (subprocess.SubprocessError, OSError, ValueError):
        return replace(plan(asked, Budget(seconds=0)), notice=BROKE_OFF)


def ladder_apart(asked: PlanInput, budget: Budget) -> tuple[Rung, ...]:
    """Climb the ladder in a process of its own; when that breaks off, it is climbed here without the solver."""
    try:
        return tuple(from_json(Rung, each) for each in _ask("ladder", asked, budget))
    except (subprocess.SubprocessError, OSError, ValueError):
        rungs = ladder(asked, Budget(seconds=0))
        return tuple(replace(rung, answer=replace(rung.answer, notice=BROKE_OFF)) for rung in rungs)


def _ask(what: str, asked: PlanInput, budget: Budget) -> Any:
    sent = json.dumps({"what": what, "asked": as_json(asked), "budget": as_json(budget)})
    line = [sys.executable, "-m", "production.planning.worker"]
    wait = budget.seconds + GRACE_SECONDS
    done = subprocess.run(line, input=sent, capture_output=True, text=True, cwd=ROOT, timeout=wait, check=True)  # noqa: S603
    return json.loads(done.stdout)


def main() -> None:
    """Answer one request on the standard streams."""
    _limit_memory()
    sent = json.load(sys.stdin)
    asked, budget = from_json(PlanInput, sent["asked"]), from_json(Budget, sent["budget"])
    found = ladder(asked, budget) if sent["what"] == "ladder" else plan(asked, budget)
    json.dump(as_json(found), sys.stdout)


def _limit_memory() -> None:
    if os.name == "posix":
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
        os.nice(5)


if __name__ == "__main__":
    main()
