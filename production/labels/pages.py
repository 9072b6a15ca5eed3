"""What stands on the label pages, put into words for the templates."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

from django.core.paginator import Page
from django.urls import reverse

from formulas.declaration import Balance, Declaration
from formulas.label_rules.problems import Problem
from production.batch_states import BatchState
from production.batches.models import Batch
from production.batches.records import plan_of
from production.labels.bars import bars_by_finish, hand_over_day
from production.labels.choices import LabelAsk
from production.labels.declaration_paper import MARKETS, STYLES, sources_of
from production.labels.declared import BatchLabels, FinishLabel
from production.labels.desk import NO_SHIFT, Desk
from production.labels.forms import LabelForm, MarketForm, first_choices
from production.labels.label_list import BatchRow
from production.labels.present import NEEDS_A_REPORT
from production.labels.preview import LabelPicture, label_picture
from production.labels.reads import plain_ask, spare_labels, wordings_of
from production.labels.sheets import PreparedLabel
from soapshop.models import Workshop

CLOSE_ENOUGH_GRAMS = Decimal("0.001")
SETTINGS = ("workshop-settings", "Open the settings")
MENDED_IN_SETTINGS = ("missing_name_and_place", "missing_contact", "undecided_street")
MENDED_ON_THE_HOUSE_PAGE = ("missing_responsible_person", "undecided_country_of_origin")
MENDED_BY_A_REPORT = ("undecided_safety_report", "assessed_other_revision")
MENDED_BY_WEIGHING = ("lot_does_not_hold", "lot_not_tested", "scale_too_coarse", "net_weight_not_held")
MENDED_AT_MATERIALS = ("missing_name", "unconfirmed_name", "unknown_allergens", "missing_sap", "color_not_listed")

STATE_SHAPES = {BatchState.RELEASED: "ready", BatchState.READY_FOR_REVIEW: "review", BatchState.HELD: "hold"}


@dataclass(frozen=True)
class Finding:
    """A problem with the link to where it is mended."""

    level: str
    text: str
    mend: str
    url: str = ""
    link: str = ""


@dataclass(frozen=True)
class Tab:
    name: str
    url: str
    is_here: bool


def list_lead(page: Page[BatchRow]) -> str:
    """The first line: labels that can be printed, and those that are stopped or printed, of the page that is shown."""
    rows = page.object_list
    ready = sum(finish.bars for row in rows for finish in row.finishes if finish.is_ready and not finish.is_printed)
    done = sum(1 for row in rows for finish in row.finishes if finish.is_ready and finish.is_printed)
    stopped = sum(1 for row in rows for finish in row.finishes if not finish.is_ready)
    if not (ready or done or stopped):
        return "No bars wait for labels."
    first = f"{_labels(ready)} can be printed now" if ready else "No labels wait to be printed"
    rest = [f"{_finishes(stopped)} stopped" if stopped else "", f"{_finishes(done)} printed" if done else ""]
    here = " on this page" if page.has_other_pages() else ""
    return f"{first}{here}{''.join(f'; {words}' for words in rest if words)}."


def plain_choices(
    batch: Batch, key: str, desk: Desk, *, workshop: Workshop, on: date
) -> tuple[LabelAsk, dict[str, Any], list[str]]:
    """The printing that is offered first, what stands in its form, and the wordings to choose from."""
    bars = bars_by_finish(batch, plan_of(batch)).get(key, 1)
    ask, wordings = plain_ask(key, workshop=workshop, copies=bars), wordings_of(batch)
    ask = replace(ask, printer_id=desk.usual_printer, accent=desk.accent, has_logo=bool(workshop.logo_name))
    initial = first_choices(
        ask,
        spares=spare_labels(bars),
        offsets=NO_SHIFT if ask.printer_id else desk.offsets,
        hand_over=hand_over_day(batch.serves.all(), on=on),
        wordings=wordings,
        reason=desk.last_reason(key),
    )
    return replace(ask, wording=initial["wording"]), initial, wordings


def batch_page(batch: Batch, prepared: PreparedLabel, form: LabelForm, desk: Desk) -> dict[str, Any]:
    labels, finish, paper = prepared.labels, prepared.finish, prepared.paper
    picture = label_picture(prepared.face, paper.stock, accent=paper.accent_hex, others=desk.stocks.values())
    printed = desk.printed[finish.key]
    has_stop = bool(prepared.stops)
    return {
        "batch": batch,
        "plan": labels.plan,
        "prepared": prepared,
        "finish": finish,
        "declaration": finish.declaration,
        "declaration_refusal": finish.refusal,
        "market": MARKETS[labels.market],
        "style": STYLES[labels.style],
        "basis": labels.basis,
        "tabs": finish_tabs("production:batch-labels", batch, labels, finish),
        "findings": findings(prepared.problems, batch),
        "questions": prepared.asks,
        "picture": picture if isinstance(picture, LabelPicture) else None,
        "no_picture": None if isinstance(picture, LabelPicture) else picture,
        "stock": prepared.paper.stock,
        "form": form,
        "state_shape": STATE_SHAPES.get(batch.state, "waiting"),
        "asks_panel": any(problem.code == "panel_unknown" for problem in prepared.problems),
        "lead": _batch_lead(prepared, printed),
        "may_print": not has_stop,
        "prints": desk.prints,
        "printed": printed,
        "query": urlencode({"finish": finish.key, "market": labels.market, "style": labels.style}),
    }


def working_page(batch: Batch, labels: BatchLabels, finish: FinishLabel, form: MarketForm) -> dict[str, Any]:
    declaration = finish.declaration
    problems = (*finish.problems, *(declaration.problems if declaration else ()))
    return {
        "batch": batch,
        "plan": labels.plan,
        "finish": finish,
        "declaration": declaration,
        "market": MARKETS[labels.market],
        "style": STYLES[labels.style],
        "basis": labels.basis,
        "on": labels.on,
        "form": form,
        "tabs": finish_tabs("production:label-working", batch, labels, finish),
        "findings": findings(problems, batch),
        "labels_need_report": labels.market in NEEDS_A_REPORT,
        "sources": sources_of(declaration, labels.on) if declaration else (),
        "balance_words": _balance_words(declaration.balance) if declaration else "",
        "lead": _working_lead(declaration, finish),
        "query": urlencode({"finish": finish.key, "market": labels.market, "style": labels.style}),
    }


def findings(problems: Iterable[Problem], batch: Batch) -> list[Finding]:
    """Problems as they are shown, each with the page where it can be mended."""
    return [Finding(p.level, p.text, p.mend, *_where(p, batch)) for p in problems]


def _where(problem: Problem, batch: Batch) -> tuple[str, str]:
    if problem.code in MENDED_IN_SETTINGS:
        return reverse(SETTINGS[0]), SETTINGS[1]
    if problem.code in MENDED_ON_THE_HOUSE_PAGE:
        return reverse("production:label-house"), "Open what stands on every label"
    if problem.code in MENDED_BY_A_REPORT:
        return reverse("production:label-reports", args=[batch.number]), "Open the safety reports"
    if problem.code in MENDED_AT_MATERIALS:
        return reverse("formulas:material-list"), "Open the materials"
    if problem.code in MENDED_BY_WEIGHING:
        return reverse("production:net-weight", args=[batch.number]), "Open the net weight"
    if problem.code in ("not_weighed", "on_hold"):
        return batch.get_absolute_url(), f"Open {batch} at the bench"
    return "", ""


def finish_tabs(page: str, batch: Batch, labels: BatchLabels, here: FinishLabel) -> list[Tab]:
    address = reverse(page, args=[batch.number])
    found = []
    for finish in labels.finishes:
        words = f"{finish.name} ({finish.bars})"
        query = urlencode({"finish": finish.key})
        found.append(Tab(words, f"{address}?{query}", finish.key == here.key))
    return found


def _batch_lead(prepared: PreparedLabel, printed: int) -> str:
    finish, stops = prepared.finish, prepared.stops
    bars = f"{finish.bars} bar{'' if finish.bars == 1 else 's'}"
    if stops:
        return f"{len(stops)} thing{'' if len(stops) == 1 else 's'} stop{'s' if len(stops) == 1 else ''} these labels."
    if printed >= finish.bars:
        return f"{_labels(printed)} printed for {bars}."
    asked = " Say who decided what is asked below." if prepared.asks else ""
    return f"Labels for {bars} can be printed.{asked}"


def _working_lead(declaration: Declaration | None, finish: FinishLabel) -> str:
    if declaration is None:
        return "This list cannot be worked out as it stands."
    named = sum(line.is_declared for line in declaration.allergens)
    words = f"{len(declaration.entries)} names for {finish.bars} bars"
    if not named:
        return f"{words}."
    return f"{words}, {named} of them {'a fragrance allergen' if named == 1 else 'fragrance allergens'}."


def _balance_words(balance: Balance) -> str:
    if abs(balance.residual_grams) < CLOSE_ENOUGH_GRAMS:
        return "The balance closes: all that went in is accounted for."
    return f"The balance is off by {balance.residual_grams:.3f} g. Report this list to whoever looks after the program."


def _labels(count: int) -> str:
    return f"{count} label{'' if count == 1 else 's'}"


def _finishes(count: int) -> str:
    return "1 finish is" if count == 1 else f"{count} finishes are"
