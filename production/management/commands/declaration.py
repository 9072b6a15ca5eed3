"""``manage.py declaration``: the ingredient lists of a batch, finish by finish."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from production.batches.models import Batch
from production.labels.declared import batch_labels
from production.labels.figures import finish_figures, finish_problems
from production.labels.judging import stops
from production.labels.present import present_day
from production.labels.reads import batch_for_labels
from soapshop.models import Workshop

REFUSED = 2


class Command(BaseCommand):
    help = "Print the ingredient list of a batch, worked out from what was weighed."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("batch", help="batch number, such as B26-001")
        parser.add_argument("--finish", help="one finish; else all of them")
        parser.add_argument("--market", choices=Workshop.Market.values, help="else the workshop's own")
        parser.add_argument("--style", choices=Workshop.DeclarationStyle.values, help="else the workshop's own")
        parser.add_argument("--json", action="store_true", help="print figures as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        batch, workshop = found_batch(options["batch"]), Workshop.current()
        market = options["market"] or workshop.market
        labels = batch_labels(
            batch,
            present_day([batch], workshop=workshop, market=market),
            market=market,  # type: ignore[arg-type]
            style=options["style"] or workshop.declaration_style,  # type: ignore[arg-type]
            on=timezone.localdate(),
        )
        finishes = [finish for finish in labels.finishes if options["finish"] in (None, finish.key)]
        if not finishes:
            known = ", ".join(finish.key for finish in labels.finishes) or "none"
            raise CommandError(f"{batch} has no such finish. Its finishes: {known}.", returncode=REFUSED)
        if options["json"]:
            found = {"batch": batch.number, "finishes": [finish_figures(labels, finish) for finish in finishes]}
            self.stdout.write(json.dumps(found, indent=2, ensure_ascii=False))
        else:
            for finish in finishes:
                words = f"{finish.declaration.heading}: {finish.declaration.text}" if finish.declaration else "no list"
                self.stdout.write(f"{batch.number} {finish.name}, {finish.bars} bars\n{words}\n")
        stopped = dict.fromkeys(
            f"{problem.text} {problem.mend}".strip()
            for finish in finishes
            for problem in stops(finish_problems(finish))
        )
        if stopped:
            raise CommandError("\n".join(stopped), returncode=REFUSED)


def found_batch(number: str) -> Batch:
    batch: Batch | None = batch_for_labels().filter(number__iexact=number.strip()).first()
    if batch is None:
        raise CommandError(f"There is no batch “{number[:40]}”. Look it up at the bench.", returncode=REFUSED)
    return batch
