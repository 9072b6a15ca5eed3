"""``manage.py batch_ticket``: the ticket of a batch as PDF, or its weigh-out as figures."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from production.batches.actions.printing import ticket_pdf
from production.batches.models import Batch
from production.batches.records import plan_of
from soapshop.paper import PaperRefused, PaperUnavailable

REFUSED = 2


class Command(BaseCommand):
    help = "Write a batch's ticket as PDF, print its weigh-out, or both."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("batch", help="batch number, such as B26-001")
        parser.add_argument("--pdf", type=Path, help="file to write the ticket to")
        parser.add_argument("--json", action="store_true", help="print figures as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        batch = Batch.objects.for_page().filter(number__iexact=options["batch"]).first()
        if batch is None:
            raise CommandError(
                f"There is no batch {options['batch']}. Look at the numbers on Bench.", returncode=REFUSED
            )
        if options["pdf"]:
            self._write(batch, options["pdf"])
        if options["json"]:
            self.stdout.write(json.dumps(ticket_json(batch), indent=2, ensure_ascii=False))
        elif not options["pdf"]:
            for weighing in batch.weighings.all():
                jug = f" (jug {weighing.portion_letter})" if weighing.portion_letter else ""
                self.stdout.write(f"{weighing.planned_grams:>12} g  {weighing.material.name}{jug}")

    def _write(self, batch: Batch, path: Path) -> None:
        try:
            pdf = ticket_pdf(
                batch, printed_at=timezone.localtime(), printed_by="the command line", scan_text=batch.number
            )
            path.write_bytes(pdf)
        except (PaperUnavailable, PaperRefused) as refusal:
            raise CommandError(str(refusal), returncode=REFUSED) from refusal
        except OSError as error:
            raise CommandError(f"{path} cannot be written: {error.strerror}.", returncode=REFUSED) from error


def ticket_json(batch: Batch) -> dict[str, Any]:
    plan = plan_of(batch)
    return {
        "batch": batch.number,
        "design": plan.product,
        "formula": plan.formula_name,
        "revision": plan.revision_number,
        "status": batch.status,
        "oils_grams": float(batch.oils_grams),
        "batter_grams": float(batch.batter_grams),
        "bars": batch.planned_bars,
        "superfat_percent": {
            "planned": float(plan.superfat.planned),
            "lowest": float(plan.superfat.lowest),
            "highest": float(plan.superfat.highest),
            "from_weights": None if batch.superfat_actual_percent is None else float(batch.superfat_actual_percent),
        },
        "weighings": [
            {
                "position": weighing.position,
                "phase": weighing.phase,
                "material": weighing.material.name,
                "jug": weighing.portion_letter,
                "planned_grams": float(weighing.planned_grams),
                "accept_grams": [float(weighing.accept_low_grams), float(weighing.accept_high_grams)],
                "lot": weighing.lot.code if weighing.lot else None,
                "actual_grams": None if weighing.actual_grams is None else float(weighing.actual_grams),
            }
            for weighing in batch.weighings.all()
        ],
    }
