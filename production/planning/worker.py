"""Plan in a process of its own, with limits on time and memory: a fault of the solver must not take the shop down.

``python -m production.planning.worker`` reads one JSON object {"asked": …, "budget": …} and writes one answer.
"""

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

from production.planning.engine import plan
from production.planning.plan_answer import Budget, PlanAnswer
from production.planning.plan_json import as_json, from_json
from production.planning.plan_records import PlanInput

ROOT = Path(__file__).resolve().parents[2]
# Loading the solver and building the model come on top of the seconds it may look.
GRACE_SECONDS = 20
MEMORY_BYTES = 4 * 1024**3
BROKE_OFF = "The solver broke off or took too long, so this plan was made at once by the list schedule."


def plan_apart(asked: PlanInput, budget: Budget) -> PlanAnswer:
    """Plan in a process of its own; when that breaks off, the list schedule answers here."""
    sent = json.dumps({"asked": as_json(asked), "budget": as_json(budget)})
    line = [sys.executable, "-m", "production.planning.worker"]
    try:
        done = subprocess.run(  # noqa: S603
            line,
            input=sent,
            capture_output=True,
            text=True,
            cwd=ROOT,
            timeout=budget.seconds + GRACE_SECONDS,
            check=True,
        )
        return from_json(PlanAnswer, json.loads(done.stdout))
    except (subprocess.SubprocessError, OSError, ValueError):
        return replace(plan(asked, Budget(seconds=0)), notice=BROKE_OFF)


def main() -> None:
    """Answer one request on the standard streams."""
    _limit_memory()
    sent = json.load(sys.stdin)
    answer = plan(from_json(PlanInput, sent["asked"]), from_json(Budget, sent["budget"]))
    json.dump(as_json(answer), sys.stdout)


def _limit_memory() -> None:
    if os.name == "posix":
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
        os.nice(5)


if __name__ == "__main__":
    main()
