"""``manage.py formula_sheet``: the figures of a formula file, or of a formula in the shop."""

import json
from argparse import ArgumentParser
from dataclasses import replace
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import OperationalError, ProgrammingError

from formulas.chemistry.compute import compute_formula
from formulas.chemistry.records import FormulaSpec
from formulas.chemistry.results import FormulaResult
from formulas.formula_file import read_formula_file
from formulas.formula_sheet import formula_sheet_json
from formulas.formula_sheet_text import finding_text, formula_sheet_text
from formulas.models import Formula, FormulaRevision
from formulas.records import ONE_KILOGRAM, reckon_revision
from formulas.reference.book import ReferenceBook
from formulas.reference.tables import ReferenceDataError
from soapshop.models import Workshop

LARGEST_FILE_BYTES = 1_000_000
REFUSED = 2


class Command(BaseCommand):
    help = "Print the sheet of a formula: lye, water, superfat from lowest to highest, batch."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("name", nargs="?", help="name of a formula in the shop")
        parser.add_argument("--revision", type=int, help="revision number; else the approved one, else the newest")
        parser.add_argument("--oils-grams", help="grams of oils to reckon for; 1000 unless you say so")
        parser.add_argument("--file", type=Path, help="a formula file; reckoned without the shop's own materials")
        parser.add_argument("--json", action="store_true", help="print figures as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        if bool(options["file"]) == bool(options["name"]):
            raise CommandError(
                "Give the name of a formula, or --file and a formula file; one of the two.", returncode=2
            )
        if options["file"]:
            result, spec = _from_file(options["file"])
        else:
            try:
                result, spec = _from_shop(options["name"], options["revision"], options["oils_grams"])
            except (OperationalError, ProgrammingError):
                words = "The shop's database is busy or not set up. Run python3 manage.py migrate, then try again."
                raise CommandError(words, returncode=REFUSED) from None
        if options["json"]:
            self.stdout.write(json.dumps(formula_sheet_json(result), indent=2, ensure_ascii=False))
        elif not result.stops:
            self.stdout.write(formula_sheet_text(result, spec))
        if result.stops:
            raise CommandError("\n".join(finding_text(stop) for stop in result.stops), returncode=REFUSED)


def _from_file(path: Path) -> tuple[FormulaResult, FormulaSpec | None]:
    try:
        if path.stat().st_size > LARGEST_FILE_BYTES:
            raise CommandError(f"{path} is too large for a formula file. Name the right file.", returncode=REFUSED)
        content = path.read_bytes()
    except OSError as refusal:
        words = f"{path} cannot be read ({refusal.strerror}). Check the name of the file."
        raise CommandError(words, returncode=REFUSED) from None
    try:
        file = read_formula_file(content, ReferenceBook())
    except ReferenceDataError as refusal:
        raise CommandError(str(refusal), returncode=REFUSED) from None
    if file.spec is None:
        return FormulaResult(name="", findings=file.findings), None
    result = compute_formula(file.spec)
    return replace(result, findings=(*result.findings, *file.findings)), file.spec


def _from_shop(name: str, number: int | None, oils_grams: str | None) -> tuple[FormulaResult, FormulaSpec | None]:
    reckoning = reckon_revision(
        _revision(name, number),
        oils_grams=_grams(oils_grams),
        least_superfat_percent=Workshop.current().least_superfat_percent,
    )
    if reckoning.result is None:
        return FormulaResult(name=name, findings=reckoning.findings), None
    return replace(reckoning.result, findings=reckoning.findings), reckoning.spec


def _revision(name: str, number: int | None) -> FormulaRevision:
    formula = Formula.objects.filter(name__iexact=name.strip()).first()
    if formula is None:
        raise CommandError(f"There is no formula “{name}”. Look it up on the Formulas page.", returncode=REFUSED)
    revisions = FormulaRevision.objects.for_page().filter(formula=formula)
    if number is not None:
        found = revisions.filter(number=number).first()
    else:
        found = revisions.approved().first() or revisions.order_by("-number").first()
    if found is None:
        which = "a revision yet" if number is None else f"a revision {number}"
        raise CommandError(f"{formula.name} does not have {which}. Look at its page.", returncode=REFUSED)
    return found


def _grams(typed: str | None) -> Decimal:
    if typed is None:
        return ONE_KILOGRAM
    try:
        grams = Decimal(typed)
    except InvalidOperation:
        grams = Decimal("NaN")
    if not grams.is_finite() or not Decimal("0.001") <= grams <= 1_000_000:
        raise CommandError(f"“{typed}” is not a mass of oils. Give grams, such as 1000.", returncode=REFUSED)
    return grams
