"""Write, revise, approve and retire formulas."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from formulas.actions.parts import follow_formula
from formulas.chemistry.results import Finding
from formulas.dose_records import formula_doses
from formulas.models import Formula, FormulaLine, FormulaRevision, Material
from formulas.records import reckon_revision
from soapshop.audit import note_event
from soapshop.models import User, Workshop

FIGURES = (
    "superfat_percent",
    "liquid_basis",
    "liquid_value",
    "stock_strength_percent",
    "weighing_error_percent",
    "oils_per_ml",
    "cure_days",
    "least_cure_days",
    "process_note",
)


class FormulaRefusal(Exception):
    """A formula cannot be changed or approved this way; the message says why and the mend."""


@dataclass(frozen=True)
class LineDraft:
    """One line as a person wrote it: ``percent`` of the oils, of the liquid or of the lye, by stage."""

    material: Material
    stage: str
    percent: Decimal


@transaction.atomic
def create_formula(*, name: str, figures: dict[str, Any], lines: Sequence[LineDraft], by: User) -> FormulaRevision:
    """Start a formula with a first draft."""
    if Formula.objects.filter(name__iexact=name).exists():
        raise FormulaRefusal(f"There is a formula named “{name}” already. Revise that one, or choose another name.")
    formula = Formula.objects.create(name=name)
    revision = FormulaRevision.objects.create(
        formula=formula, number=1, created_by=by, reason="First version", **_figures(figures)
    )
    _write_lines(revision, lines)
    note_event(by=by, verb="create_formula", subject=formula, text=f"Wrote the formula {name}.")
    return revision


@transaction.atomic
def save_draft(
    *, revision_id: int, seen_saves: int, figures: dict[str, Any], lines: Sequence[LineDraft], by: User
) -> FormulaRevision:
    """Replace a draft's figures and lines; refused when it is no draft or another person saved it meanwhile."""
    revision = FormulaRevision.objects.select_for_update().select_related("formula").get(pk=revision_id)
    if not revision.is_draft:
        raise FormulaRefusal(
            f"{revision} is {revision.get_status_display().lower()} and stays as it is. "
            "Make a new revision to change it."
        )
    if revision.saves != seen_saves:
        raise FormulaRefusal(
            "Somebody saved this draft after you opened it. Your entries are still below: "
            "open the draft in a second window, compare, then save yours again."
        )
    for field, value in _figures(figures).items():
        setattr(revision, field, value)
    revision.saves += 1
    revision.save(update_fields=[*FIGURES, "saves"])
    revision.lines.all().delete()
    _write_lines(revision, lines)
    note_event(by=by, verb="save_draft", subject=revision, text=f"Saved {revision}.")
    return revision


@transaction.atomic
def revise_formula(*, formula_id: int, reason: str, by: User) -> FormulaRevision:
    """Copy the newest revision into a new draft, with the reason of the change."""
    formula = Formula.objects.select_for_update().get(pk=formula_id)
    if not reason.strip():
        raise FormulaRefusal("Say in a few words why the formula changes. The next person will want to know.")
    newest = formula.revisions.order_by("-number").first()
    if newest is None:
        raise FormulaRefusal("This formula has no revision to start from. Write it as a new formula.")
    if formula.revisions.filter(status=FormulaRevision.Status.DRAFT).exists():
        raise FormulaRefusal(f"{formula.name} has a draft already. Edit that draft, or approve it first.")
    revision = FormulaRevision.objects.create(
        formula=formula,
        number=newest.number + 1,
        created_by=by,
        reason=reason.strip(),
        **{field: getattr(newest, field) for field in FIGURES},
    )
    _write_lines(revision, [LineDraft(line.material, line.stage, line.percent) for line in newest.lines.all()])
    note_event(by=by, verb="revise_formula", subject=revision, text=f"Began {revision}: {revision.reason}")
    return revision


@transaction.atomic
def approve_revision(*, revision_id: int, override_reason: str, by: User) -> FormulaRevision:
    """Approve a draft; the revision approved so far is retired.

    A "stop" finding, such as a scent without a limit on file, can never be approved; an "ask" finding needs the
    owner's written reason.
    """
    revision = FormulaRevision.objects.select_for_update().select_related("formula").get(pk=revision_id)
    if not by.is_owner:
        raise FormulaRefusal("Only an owner approves a formula. Ask the owner to look at this draft.")
    if not revision.is_draft:
        raise FormulaRefusal(f"{revision} is {revision.get_status_display().lower()} already.")
    workshop = Workshop.current()
    reckoning = reckon_revision(revision, least_superfat_percent=workshop.least_superfat_percent)
    lines = revision.lines.select_related("material")
    doses = formula_doses(lines, reckoning.result, house_percent=workshop.most_scent_percent)
    _judge((*reckoning.findings, *doses.findings), override_reason)
    for old in revision.formula.revisions.select_for_update().filter(status=FormulaRevision.Status.APPROVED):
        old.status = FormulaRevision.Status.RETIRED
        old.save(update_fields=["status"])
    revision.status = FormulaRevision.Status.APPROVED
    revision.override_reason = override_reason.strip()
    revision.approved_by = by
    revision.approved_at = timezone.now()
    revision.save(update_fields=["status", "override_reason", "approved_by", "approved_at"])
    follow_formula(formula=revision.formula, by=by)
    because = f" Reason: {revision.override_reason}" if revision.override_reason else ""
    note_event(by=by, verb="approve_revision", subject=revision, text=f"Approved {revision}.{because}")
    return revision


def _judge(findings: Sequence[Finding], override_reason: str) -> None:
    stop = next((finding for finding in findings if finding.level == "stop"), None)
    if stop is not None:
        raise FormulaRefusal(f"{stop.text} {stop.mend}".strip())
    question = next((finding for finding in findings if finding.level == "ask"), None)
    if question is not None and not override_reason.strip():
        raise FormulaRefusal(f"{question.text} {question.mend} Or write down why you approve it all the same.".strip())


@transaction.atomic
def retire_revision(*, revision_id: int, by: User) -> FormulaRevision:
    """Take an approved revision out of use; batches made from it keep it."""
    revision = FormulaRevision.objects.select_for_update().select_related("formula").get(pk=revision_id)
    if not revision.is_approved:
        raise FormulaRefusal(f"{revision} is not approved, so there is nothing to retire.")
    revision.status = FormulaRevision.Status.RETIRED
    revision.save(update_fields=["status"])
    note_event(by=by, verb="retire_revision", subject=revision, text=f"Retired {revision}.")
    return revision


def _figures(figures: dict[str, Any]) -> dict[str, Any]:
    return {field: figures[field] for field in FIGURES if field in figures}


def _write_lines(revision: FormulaRevision, lines: Sequence[LineDraft]) -> None:
    places = [(line.material.pk, line.stage) for line in lines]
    twice = next((line for line in lines if places.count((line.material.pk, line.stage)) > 1), None)
    if twice is not None:
        raise FormulaRefusal(f"{twice.material.name} stands there twice. Add the shares up in one line.")
    FormulaLine.objects.bulk_create(
        FormulaLine(
            revision=revision, material=line.material, stage=line.stage, percent=line.percent, position=position
        )
        for position, line in enumerate(lines)
    )


@transaction.atomic
def note_seen_fill(*, revision_id: int, oils_per_ml: Decimal | None, batches: int, by: User) -> FormulaRevision:
    """Write down what the batches of a revision filled; the next one is sized by it unless a person typed a fill."""
    revision = FormulaRevision.objects.select_for_update().get(pk=revision_id)
    revision.seen_oils_per_ml, revision.seen_fills = oils_per_ml, batches
    revision.save(update_fields=["seen_oils_per_ml", "seen_fills"])
    text = f"Fill measured in {batches} batch{'es' * (batches != 1)}: {oils_per_ml} g of oils a ml."
    note_event(by=by, verb="note_seen_fill", subject=revision, text=text)
    return revision
