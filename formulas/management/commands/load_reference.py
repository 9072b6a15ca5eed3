"""``manage.py load_reference``: bring the materials and allergens up to the tables in ``fixtures/``."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import OperationalError, ProgrammingError

from formulas.reference.load import LoadReport, Outcome, load_reference
from formulas.reference.read import FIXTURES, read_reference
from formulas.reference.tables import ReferenceDataError

WORDS = {
    Outcome.MADE: "new",
    Outcome.UPDATED: "updated",
    Outcome.KEPT: "kept as you changed them",
    Outcome.UNCHANGED: "unchanged",
    Outcome.NOT_OURS: "left alone, your own of the same name",
}


class Command(BaseCommand):
    help = "Load materials and allergens from the reference tables. Run it again after an update; your changes stay."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--json", action="store_true", help="print the counts as JSON")
        parser.add_argument("--folder", type=Path, default=FIXTURES, help="folder of the tables, if not fixtures/")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            reference = read_reference(options["folder"])
        except ReferenceDataError as refusal:
            raise CommandError(f"Nothing was loaded. {refusal}", returncode=2) from None
        try:
            report = load_reference(reference=reference)
        except (OperationalError, ProgrammingError):
            words = "The shop's database is busy or not set up. Run python3 manage.py migrate, then try again."
            raise CommandError(words, returncode=2) from None
        self.stdout.write(json.dumps(_as_json(report), indent=2) if options["json"] else _as_text(report))


def _as_json(report: LoadReport) -> dict[str, Any]:
    return {
        "materials": {outcome.value: len(names) for outcome, names in report.materials.items()},
        "allergens": {outcome.value: len(names) for outcome, names in report.allergens.items()},
        "kept_fields": {name: list(fields) for name, fields in report.kept_fields.items()},
        "not_ours": report.materials[Outcome.NOT_OURS],
    }


def _as_text(report: LoadReport) -> str:
    lines = []
    for title, counts in (("Materials", report.materials), ("Allergens", report.allergens)):
        parts = [f"{len(names)} {WORDS[outcome]}" for outcome, names in counts.items() if names]
        lines.append(f"{title}: {', '.join(parts)}.")
    lines += [f"  {name}: kept your {', '.join(fields)}." for name, fields in report.kept_fields.items()]
    lines += [
        f"  {name}: you have a material of this name already; it was not touched."
        for name in report.materials[Outcome.NOT_OURS]
    ]
    return "\n".join(lines)
