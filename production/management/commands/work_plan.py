"""``manage.py work_plan``: work out a plan that the plan board has asked for. The board starts it by itself."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from production.plan.actions.working import work_plan
from production.plan.models import PlanRun

REFUSED = 2


class Command(BaseCommand):
    help = "Work out a plan that was asked for on the plan board; its row says how it goes."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("run", type=int, help="number of the plan")

    def handle(self, *args: Any, **options: Any) -> None:
        if not PlanRun.objects.filter(pk=options["run"]).exists():
            raise CommandError(f"There is no plan {options['run']}. Start one on the plan board.", returncode=REFUSED)
        run = work_plan(run_id=options["run"])
        self.stdout.write(f"{run}: {run.get_work_display().lower()}.")
