"""Plan in a process of its own, with limits on time and memory: a fault of the solver must not take the shop down.

``python -m production.planning.worker`` reads one line of JSON {"what": "plan" or "ladder", "asked": …, "budget": …}.
It writes lines: {"late_days": …} for each better plan on the way, {"rungs": […]} after each rung, at last {"found": …}.
A further line on its standard input, “stop”, ends the search with the best so far.
"""

import json
import os
import queue
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

from production.planning.engine import plan
from production.planning.plan_answer import Budget, PlanAnswer
from production.planning.plan_json import as_json, from_json
from production.planning.plan_records import PlanInput
from production.planning.repair import Rung, ladder
from production.planning.watch import Watch

ROOT = Path(__file__).resolve().parents[2]
# Loading the solver and building the model come on top of the seconds it may look.
GRACE_SECONDS = 20
MEMORY_BYTES = 4 * 1024**3
LOOK_SECONDS = 0.5
STOP = "stop"
BROKE_OFF = "The solver broke off or took too long, so this plan was made at once by the list schedule."

Told = dict[str, Any]


def plan_apart(asked: PlanInput, budget: Budget) -> PlanAnswer:
    """Plan in a process of its own; when that breaks off, the list schedule answers here."""
    try:
        return from_json(PlanAnswer, _ask("plan", asked, budget))
    except (subprocess.SubprocessError, OSError, ValueError):
        return replace(plan(asked, Budget(seconds=0)), notice=BROKE_OFF)


def ladder_apart(
    asked: PlanInput,
    budget: Budget,
    *,
    tell: Callable[[Told], None] | None = None,
    is_stopped: Callable[[], bool] = lambda: False,
) -> tuple[Rung, ...]:
    """Climb the ladder in a process of its own; when that breaks off, it is climbed here without the solver.

    `tell` gets each line the worker writes, and an empty one every half second; `is_stopped` is asked as often.
    """
    try:
        return tuple(from_json(Rung, each) for each in _ask("ladder", asked, budget, tell=tell, is_stopped=is_stopped))
    except (subprocess.SubprocessError, OSError, ValueError):
        rungs = ladder(asked, Budget(seconds=0))
        return tuple(replace(rung, answer=replace(rung.answer, notice=BROKE_OFF)) for rung in rungs)


def _ask(
    what: str,
    asked: PlanInput,
    budget: Budget,
    *,
    tell: Callable[[Told], None] | None = None,
    is_stopped: Callable[[], bool] = lambda: False,
) -> Any:
    """Start the worker, pass on what it tells and the wish to stop, and return what it found."""
    sent = json.dumps({"what": what, "asked": as_json(asked), "budget": as_json(budget)})
    line = [sys.executable, "-m", "production.planning.worker"]
    ends_at = time.monotonic() + budget.seconds + GRACE_SECONDS
    with subprocess.Popen(  # noqa: S603
        line, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, cwd=ROOT
    ) as worker:
        try:
            return _follow(worker, sent, ends_at, tell=tell, is_stopped=is_stopped)
        finally:
            worker.kill()


def _follow(
    worker: "subprocess.Popen[str]",
    sent: str,
    ends_at: float,
    *,
    tell: Callable[[Told], None] | None,
    is_stopped: Callable[[], bool],
) -> Any:
    lines: queue.Queue[str] = queue.Queue()
    reader = threading.Thread(target=_read_lines, args=(worker, lines), daemon=True)
    reader.start()
    _write(worker, sent)
    is_told = False
    while time.monotonic() < ends_at:
        try:
            line = lines.get(timeout=LOOK_SECONDS)
        except queue.Empty:
            line = "{}"
        if not line:
            raise OSError("The worker ended without an answer.")
        told = json.loads(line)
        if "found" in told:
            return told["found"]
        if tell is not None:
            tell(told)
        if not is_told and is_stopped():
            is_told = True
            _write(worker, STOP)
    raise subprocess.TimeoutExpired(worker.args, ends_at)


def _read_lines(worker: "subprocess.Popen[str]", lines: "queue.Queue[str]") -> None:
    for line in worker.stdout or ():
        lines.put(line)
    lines.put("")


def _write(worker: "subprocess.Popen[str]", line: str) -> None:
    if worker.stdin is not None:
        with suppress(BrokenPipeError):
            worker.stdin.write(f"{line}\n")
            worker.stdin.flush()


def main() -> None:
    """Answer one request on the standard streams."""
    _limit_memory()
    sent = json.loads(sys.stdin.readline())
    asked, budget = from_json(PlanInput, sent["asked"]), from_json(Budget, sent["budget"])
    watch = Watch(lambda late_days: _tell({"late_days": late_days}))
    threading.Thread(target=_listen, args=(watch,), daemon=True).start()
    found: Any
    if sent["what"] == "ladder":
        found = ladder(asked, budget, watch=watch, tell=lambda rungs: _tell({"rungs": as_json(rungs)}))
    else:
        found = plan(asked, budget, watch)
    _tell({"found": as_json(found)})


def _tell(told: Told) -> None:
    sys.stdout.write(f"{json.dumps(told)}\n")
    sys.stdout.flush()


def _listen(watch: Watch) -> None:
    for line in sys.stdin:
        if line.strip() == STOP:
            watch.stop()


def _limit_memory() -> None:
    if os.name == "posix":
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
        os.nice(5)


if __name__ == "__main__":
    main()
