"""``manage.py net_weight``: what can be printed on the bars of a batch, and whether the weighed lot holds it."""

import json
from argparse import ArgumentParser
from decimal import Decimal
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from production.labels.declared import batch_labels
from production.labels.lot_reads import LotPage, TestShown, lot_page, printed_figure
from production.labels.present import present_day
from production.management.commands.declaration import found_batch
from soapshop.clock import workshop_today
from soapshop.models import Workshop

REFUSED = 2


class Command(BaseCommand):
    help = "Print the net weight of a batch by finish: figure, working, tests of the weighed lot, short bars."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("batch", help="batch number, such as B26-001")
        parser.add_argument("--market", choices=Workshop.Market.values, help="else the workshop's own")
        parser.add_argument("--figure", default="", help="the figure to test; else the one that was printed")
        parser.add_argument("--json", action="store_true", help="print figures as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        batch, workshop = found_batch(options["batch"]), Workshop.current()
        market = options["market"] or workshop.market
        labels = batch_labels(
            batch,
            present_day([batch], workshop=workshop, market=market),
            market=market,  # type: ignore[arg-type]
            style=workshop.declaration_style,  # type: ignore[arg-type]
            on=workshop_today(),
        )
        pages = [
            lot_page(batch, labels, finish, typed=options["figure"] or printed_figure(batch, finish.key))
            for finish in labels.finishes
        ]
        if options["json"]:
            found = {"batch": batch.number, "market": market, "finishes": [_figures(page) for page in pages]}
            self.stdout.write(json.dumps(found, indent=2, ensure_ascii=False))
        else:
            self.stdout.write("\n".join(line for page in pages for line in _lines(page)))
        stopped = [
            f"{problem.text} {problem.mend}"
            for page in pages
            for problem in page.net.problems
            if problem.level == "stop"
        ]
        if stopped:
            raise CommandError("\n".join(dict.fromkeys(stopped)), returncode=REFUSED)


def _figures(page: LotPage) -> dict[str, Any]:
    """Masses are written as text, to the milligram, so that no digit is lost."""
    statement, lot = page.net.statement, page.lot
    return {
        "finish": page.finish.key,
        "bars": page.finish.bars,
        "net_weight": page.net.text or None,
        "must_hold_grams": _text(statement.must_hold_grams) if statement else None,
        "lowest_grams": _text(page.net.lowest_grams),
        "hand_over": page.labels.hand_over.isoformat(),
        "weighed": len(lot.bars_grams) if lot else 0,
        "mean_grams": _text(lot.mean_grams) if lot else None,
        "still_to_lose_percent": str(round(lot.loss_percent, 2)) if lot else None,
        "short_bars": list(page.short),
        "tests": [_test(test) for test in page.tests],
        "working": {line.what: line.figure for line in page.net.working},
        "problems": [{"level": each.level, "code": each.code, "text": each.text} for each in page.net.problems],
    }


def _test(test: TestShown) -> dict[str, Any]:
    checks = test.result.checks if test.result else ()
    return {
        "plan": test.title,
        "label": test.label,
        "outcome": test.result.outcome if test.result else None,
        "refusal": test.refusal or None,
        "checks": [{"name": each.name, "outcome": each.outcome, "working": each.working} for each in checks],
    }


def _text(grams: Decimal) -> str:
    return f"{grams.quantize(Decimal('0.001'))}"


def _lines(page: LotPage) -> list[str]:
    lines = [f"{page.batch.number}  {page.finish.name}, {page.finish.bars} bars: {page.net.text or 'no figure'}"]
    lines += [f"    {line.what}: {line.figure}" for line in page.net.working]
    for test in page.tests:
        lines.append(f"    {test.title}: {test.refusal or test.word}")
        lines += [f"        {check.name}: {check.working}" for check in (test.result.checks if test.result else ())]
    if page.short:
        lines.append(f"    short bars: {', '.join(map(str, page.short))}")
    return lines
