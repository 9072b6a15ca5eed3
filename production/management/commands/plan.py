"""``manage.py plan``: propose a plan for the shop, or work out one from a file, with its levels and what is proven."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from production.plan.actions.moving import PlanRefusal
from production.plan.actions.proposals import accept_plan, propose_plan, rungs_of
from production.plan.models import PlanRun
from production.plan.records import shop_plan
from production.planning.plan_answer import Budget
from production.planning.plan_json import PlanJsonError, as_json, from_json, input_hash
from production.planning.plan_records import PlanInput
from production.planning.repair import Rung
from production.planning.worker import plan_apart
from soapshop.clock import workshop_today
from soapshop.models import User

REFUSED = 2
MOST_SECONDS = 600.0


class Command(BaseCommand):
    help = "Propose a plan for the shop; --from FILE.json plans what is written in a file, without the shop's book."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--json", action="store_true", help="print the whole answer as JSON")
        parser.add_argument("--seconds", type=float, default=10.0, help="how long the solver may look (10)")
        parser.add_argument("--from", dest="file", help="plan the input in this JSON file; nothing is kept")
        parser.add_argument("--input", action="store_true", help="print the shop's planning input as JSON, for --from")
        parser.add_argument("--accept", action="store_true", help="take the whole proposal over")
        parser.add_argument("--by", default="", help="name of the person, as used to sign in (needed with --accept)")

    def handle(self, *args: Any, **options: Any) -> None:
        if not 0 <= options["seconds"] <= MOST_SECONDS:
            raise CommandError(f"Give from 0 to {MOST_SECONDS:.0f} seconds.", returncode=REFUSED)
        if options["file"]:
            self._from_file(options["file"], options["seconds"])
            return
        today = workshop_today()
        if options["input"]:
            self._print(as_json(shop_plan(today=today).asked))
            return
        person = User.objects.filter(username=options["by"]).first()
        if options["accept"] and person is None:
            raise CommandError("Say who takes the plan over: --by and a name used to sign in.", returncode=REFUSED)
        run = propose_plan(today=today, seconds=options["seconds"], by=person)
        rungs = rungs_of(run)
        if options["json"]:
            self._print({"run": run.pk, "input_hash": run.input_hash, "rungs": [as_json(rung) for rung in rungs]})
        else:
            self.stdout.write("\n".join(_words(rung) for rung in rungs))
        if options["accept"] and person is not None:
            self._accept(run, rungs, person)

    def _accept(self, run: PlanRun, rungs: tuple[Rung, ...], person: User) -> None:
        keys = frozenset(batch.key for batch in rungs[-1].answer.plan.batches)
        try:
            accept_plan(run_id=run.pk, rung=len(rungs) - 1, keys=keys, today=run.for_day, by=person)
        except PlanRefusal as refusal:
            raise CommandError(str(refusal), returncode=REFUSED) from refusal

    def _from_file(self, name: str, seconds: float) -> None:
        try:
            asked = from_json(PlanInput, json.loads(Path(name).read_text(encoding="utf-8")))
        except OSError as fault:
            raise CommandError(f"{name} cannot be read: {fault.strerror}.", returncode=REFUSED) from fault
        except (PlanJsonError, ValueError) as fault:
            raise CommandError(f"{name} is no planning input: {fault}", returncode=REFUSED) from fault
        answer = plan_apart(asked, Budget(seconds=seconds))
        self._print({"input_hash": input_hash(asked), "answer": as_json(answer)})

    def _print(self, found: Any) -> None:
        self.stdout.write(json.dumps(found, indent=2, ensure_ascii=False))


def _words(rung: Rung) -> str:
    answer = rung.answer
    levels = ", ".join(
        f"{level.name} {level.value} ({'proven' if level.is_proven else f'at least {level.bound}'})"
        for level in answer.levels
    )
    problems = "".join(f"\n  {problem.text} {problem.mend}" for problem in answer.problems)
    return f"{rung.name}: {rung.moved} moved, {answer.score.batches} new. {levels}. {answer.notice}{problems}".strip()
