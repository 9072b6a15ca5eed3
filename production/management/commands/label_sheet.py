"""``manage.py label_sheet``: print the labels of a released batch, or a trial sheet, as PDF."""

import json
from argparse import ArgumentParser
from dataclasses import replace
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from production.batches.models import Batch
from production.batches.records import plan_of
from production.documents.label_records import LabelLayout
from production.documents.label_stock import LABEL_STOCKS
from production.labels.actions import print_labels, reprinted_pdf
from production.labels.bars import bars_by_finish
from production.labels.choices import Elsewhere, LabelAsk
from production.labels.figures import problem_figures
from production.labels.jobs import new_sheet_pdf
from production.labels.reads import plain_ask, spare_labels, wordings_of
from production.labels.sheets import LabelRefusal, PreparedLabel, prepare_label, trial_paper
from production.management.commands.declaration import REFUSED, found_batch
from soapshop.models import User, Workshop
from soapshop.paper import PaperError

PLACES = [place.name.lower() for place in Elsewhere if place.value]


class Command(BaseCommand):
    help = (
        "Print labels as PDF. Labels for sale are kept as printed; --trial prints an outlined sheet and keeps nothing."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("batch", help="batch number, such as B26-001")
        parser.add_argument("--finish", help="one finish; else the one with most bars")
        parser.add_argument("--stock", help=f"one of {', '.join(LABEL_STOCKS)}; else the usual one")
        parser.add_argument("--copies", type=int, help="labels in all; else one for each bar, and spares")
        parser.add_argument("--start", type=int, default=1, help="first free label of the sheet")
        parser.add_argument("--net", default="", help="a smaller net weight, such as “4 oz”")
        parser.add_argument("--without-list", action="store_true", help="leave the ingredient list off this label")
        parser.add_argument("--layout", choices=list(LabelLayout), default=LabelLayout.LABEL, help="what comes first")
        parser.add_argument("--wording", help="one of the wordings ordered; else the only one there is")
        parser.add_argument("--elsewhere", choices=PLACES, help="where that stands which this label leaves off")
        parser.add_argument("--logo", action="store_true", help="the workshop's logo at the head of the label")
        parser.add_argument("--reason", default="", help="who decided what is asked, and why it is printed")
        parser.add_argument("--by", help="the account that prints")
        parser.add_argument("--trial", action="store_true", help="an outlined sheet marked as a trial")
        parser.add_argument("--pdf", type=Path, required=True, help="file to write")
        parser.add_argument("--json", action="store_true", help="print figures as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        batch, workshop, today = found_batch(options["batch"]), Workshop.current(), timezone.localdate()
        ask = _ask(batch, workshop, options)
        _need_folder(options["pdf"])
        try:
            prepared = prepare_label(batch, ask, workshop=workshop, on=today)
            kept = None
            if options["trial"]:
                prepared = replace(prepared, paper=trial_paper(prepared))
                pdf = new_sheet_pdf(prepared.paper)
            else:
                kept = print_labels(
                    batch_id=batch.pk, ask=ask, reason=options["reason"], on=today, by=_account(options["by"])
                )
                pdf, _ = reprinted_pdf(kept)
        except (LabelRefusal, PaperError) as refusal:
            raise CommandError(str(refusal), returncode=REFUSED) from None
        _write(options["pdf"], pdf)
        figures = _figures(prepared, options["pdf"]) | ({"print": kept.pk, "sha256": kept.sha256} if kept else {})
        if options["json"]:
            self.stdout.write(json.dumps(figures, indent=2, ensure_ascii=False))
        else:
            self.stdout.write(
                f"{figures['copies']} labels for {batch.number}, {prepared.finish.name}: {figures['pdf']}"
            )


def _ask(batch: Batch, workshop: Workshop, options: dict[str, Any]) -> LabelAsk:
    counts = bars_by_finish(batch, plan_of(batch))
    if not counts:
        raise CommandError(f"{batch} has no bars to label.", returncode=REFUSED)
    if options["logo"] and not workshop.logo_name:
        raise CommandError("No logo is kept. Keep one on the page “On every label” first.", returncode=REFUSED)
    finish = options["finish"] or max(counts, key=lambda key: counts[key])
    bars = counts.get(finish, 1)
    ask = plain_ask(finish, workshop=workshop, copies=bars + spare_labels(bars))
    wordings = wordings_of(batch)
    return replace(
        ask,
        stock=options["stock"] or ask.stock,
        copies=ask.copies if options["copies"] is None else options["copies"],
        start_position=options["start"],
        net_weight=options["net"],
        has_list=not options["without_list"],
        wording=_wording(options["wording"], wordings),
        layout=LabelLayout(options["layout"]),
        elsewhere=Elsewhere[(options["elsewhere"] or "not_said").upper()],
        has_logo=options["logo"],
    )


def _wording(typed: str | None, ordered: list[str]) -> str:
    if typed is None:
        return ordered[0] if len(ordered) == 1 else ""
    if typed not in ordered:
        offered = "; ".join(f"“{words[:60]}”" for words in ordered) or "none"
        raise CommandError(f"Nobody ordered that wording. Ordered: {offered}.", returncode=REFUSED)
    return typed


def _account(name: str | None) -> User | None:
    if name is None:
        return None
    account = User.objects.filter(username=name, is_active=True).first()
    if account is None:
        raise CommandError(f"There is no account “{name[:40]}”. Name one that may sign in.", returncode=REFUSED)
    return account


def _figures(prepared: PreparedLabel, path: Path) -> dict[str, Any]:
    return {
        "finish": prepared.finish.key,
        "stock": prepared.ask.stock,
        "copies": sum(run.copies for run in prepared.paper.runs),
        "net_weight": prepared.net.text,
        "net_weight_least_height_mm": float(round(prepared.face.net_weight_min_mm, 4)),
        "ingredients": prepared.face.ingredients,
        "ingredients_least_height_mm": float(round(prepared.face.ingredients_min_mm, 4)),
        "problems": [problem_figures(problem) for problem in prepared.problems],
        "pdf": str(path),
    }


def _need_folder(path: Path) -> None:
    """Known before anything is printed and kept."""
    if not path.parent.is_dir():
        raise CommandError(f"There is no folder {path.parent}. Name a folder that is there.", returncode=REFUSED)


def _write(path: Path, pdf: bytes) -> None:
    try:
        path.write_bytes(pdf)
    except OSError as refusal:
        words = f"{path} cannot be written ({refusal.strerror}). Name a folder that is there."
        raise CommandError(words, returncode=REFUSED) from None
