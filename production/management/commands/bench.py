"""``manage.py bench``: what pages, papers and the server cost, against floors measured in the same run."""

import json
from argparse import ArgumentParser
from dataclasses import asdict
from io import StringIO
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from orders.models import Order
from production.benchmark.crowd import fill_shop
from production.benchmark.forecasts import refit_cost
from production.benchmark.long_run import busy_cost, run_cost
from production.benchmark.pages import Addresses, addresses, page_costs, query_counts, statuses
from production.benchmark.papers import paper_costs
from production.benchmark.results import (
    MOST_MEBIBYTES,
    MOST_REFIT_MILLISECONDS,
    WriteCost,
    page_lines,
    paper_lines,
    run_lines,
    write_lines,
)
from production.benchmark.server import CannotMeasure, seconds_from_clone, server_cost
from production.benchmark.writes import NothingToWeigh, weighing_cost
from production.management.commands.demo import DEMO_PASSWORD, DEMO_USER
from soapshop.paper import PaperUnavailable

FOLDER = "bench"
ROUNDS_OF_A_LONG_RUN = 2


class Command(BaseCommand):
    help = "Measure pages, papers and the server on a full shop of its own. Prints ratios; never fails on a slow one."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--orders", type=int, default=400, help="orders beside the demo's (default: 400)")
        parser.add_argument("--batches", type=int, default=400, help="batches on the rack beside the demo's (400)")
        parser.add_argument("--lots", type=int, default=2000, help="lots beside the demo's (2000)")
        parser.add_argument("--rounds", type=int, default=12, help="how often each page is shown (12)")
        parser.add_argument(
            "--paper-rounds", type=int, default=4, help="how often each paper is drawn (4; 0 leaves papers out)"
        )
        parser.add_argument("--no-press", action="store_true", help="leave out the long run of labels")
        parser.add_argument("--no-server", action="store_true", help="leave out the memory of a serving process")
        parser.add_argument("--reuse", action="store_true", help="take the full shop of the last run as it is")
        parser.add_argument("--clone", action="store_true", help="also time a bare clone to its first page (minutes)")
        parser.add_argument("--json", action="store_true", help="print the figures as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        if not settings.DEMO or settings.DATA_DIR.parent.name != FOLDER:
            raise CommandError(
                "The benchmark has a shop of its own. Start it as: python3 manage.py bench", returncode=2
            )
        self.left_out: list[str] = []
        found, queries_few = self._full_shop(options)
        self.left_out += [f"No such page yet: {page}." for page in found.missing]
        self._say("Showing the pages …")
        results: dict[str, Any] = {
            "pages": page_costs(found, queries_few=queries_few, rounds=options["rounds"]),
            "writes": self._writes(options),
            "papers": self._papers(options),
            "refit": refit_cost(rounds=options["rounds"]),
            "long_run": None if options["no_press"] else self._long_run(),
            "busy": None if options["no_press"] or options["no_server"] else self._busy(found.paths),
            "server": None if options["no_server"] else self._server(found.paths),
            "seconds_from_clone": self._clone() if options["clone"] else None,
        }
        self.stdout.write(self._as_json(results) if options["json"] else self._as_text(results))

    def _full_shop(self, options: dict[str, Any]) -> tuple[Addresses, dict[str, int] | None]:
        """Return the pages' addresses and their queries in the small shop; afterwards the shop is full."""
        call_command("migrate", interactive=False, verbosity=0)
        if options["reuse"] and Order.objects.exists():
            return addresses(), None
        self._say("Playing the demo's year into the benchmark's shop …")
        if Order.objects.exists():
            call_command("flush", interactive=False, verbosity=0)
        call_command("demo", no_serve=True, stdout=StringIO())
        found = addresses()
        statuses(found.paths)
        queries_few = query_counts(found.paths)
        self._say("Filling it with rows …")
        fill_shop(orders=options["orders"], batches=options["batches"], lots=options["lots"])
        return found, queries_few

    def _writes(self, options: dict[str, Any]) -> WriteCost | None:
        self._say("Weighing …")
        try:
            return weighing_cost(rounds=options["rounds"])
        except NothingToWeigh as reason:
            self.left_out.append(str(reason))
            return None

    def _papers(self, options: dict[str, Any]) -> list[Any]:
        if not options["paper_rounds"]:
            return []
        self._say("Drawing the papers …")
        try:
            return list(paper_costs(rounds=options["paper_rounds"]))
        except PaperUnavailable as missing:
            self.left_out.append(str(missing))
            return []

    def _long_run(self) -> Any:
        self._say("Printing a long run of labels …")
        try:
            return run_cost(rounds=ROUNDS_OF_A_LONG_RUN)
        except (PaperUnavailable, CannotMeasure) as reason:
            self.left_out.append(str(reason))
            return None

    def _busy(self, paths: dict[str, str]) -> Any:
        self._say("Showing pages while a long run is printed …")
        served = [path for path in paths.values() if "benchmark" not in path]
        try:
            return busy_cost(served, username=DEMO_USER, password=DEMO_PASSWORD)
        except CannotMeasure as reason:
            self.left_out.append(str(reason))
            return None

    def _server(self, paths: dict[str, str]) -> Any:
        self._say("Serving the shop …")
        served = [path for path in paths.values() if "benchmark" not in path]
        try:
            return server_cost(served, username=DEMO_USER, password=DEMO_PASSWORD)
        except CannotMeasure as reason:
            self.left_out.append(str(reason))
            return None

    def _clone(self) -> float | None:
        self._say("Starting from a bare clone …")
        try:
            return seconds_from_clone()
        except CannotMeasure as reason:
            self.left_out.append(str(reason))
            return None

    def _say(self, sentence: str) -> None:
        self.stderr.write(sentence)

    def _as_json(self, results: dict[str, Any]) -> str:
        writes: WriteCost | None = results["writes"]
        costs = [*results["pages"], *results["papers"], *([writes] if writes else [])]
        figures = {
            **results,
            "pages": [asdict(cost) | {"ratio": cost.ratio, "misses": cost.misses} for cost in results["pages"]],
            "papers": [asdict(cost) | {"ratio": cost.ratio, "misses": cost.misses} for cost in results["papers"]],
            "writes": writes and asdict(writes) | {"ratio": writes.ratio, "misses": writes.misses},
            "server": results["server"] and asdict(results["server"]) | {"misses": results["server"].misses},
            "refit": results["refit"] and asdict(results["refit"]) | {"misses": results["refit"].misses},
            "long_run": results["long_run"] and _with_ratio(results["long_run"]),
            "busy": results["busy"] and _with_ratio(results["busy"]),
            "misses": sum(len(cost.misses) for cost in costs),
            "left_out": self.left_out,
        }
        return json.dumps(figures, indent=2, ensure_ascii=False)

    def _as_text(self, results: dict[str, Any]) -> str:
        lines = [*page_lines(results["pages"]), ""]
        if writes := results["writes"]:
            lines += [*write_lines(writes), ""]
        if results["papers"]:
            lines += [*paper_lines(results["papers"]), ""]
        if refit := results["refit"]:
            cost = f"{refit.milliseconds:.1f} ms with {refit.weighings} weighings (aim: ≤ {MOST_REFIT_MILLISECONDS} ms)"
            lines.append(f"Fitting one batch's drying curve anew: {cost}{' – misses' if refit.misses else ''}")
        lines += run_lines(results["long_run"], results["busy"])
        if server := results["server"]:
            size = f"{server.mebibytes:.0f} MB after {server.answers} answers (aim: under {MOST_MEBIBYTES} MB)"
            lines.append(f"Memory of the serving process: {size}{' – misses' if server.misses else ''}")
        if (seconds := results["seconds_from_clone"]) is not None:
            lines.append(f"From a bare clone to the first answer: {seconds:.0f} s")
        return "\n".join([*lines, *self.left_out])


def _with_ratio(cost: Any) -> dict[str, Any]:
    return asdict(cost) | {"ratio": cost.ratio, "misses": cost.misses}
