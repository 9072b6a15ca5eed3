"""What stands on the label pages, put into words for the templates."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

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
from production.labels.forms import LabelForm, MarketForm, first_choices
from production.labels.preview import LabelPicture, label_picture
from production.labels.reads import (
    BatchRow,
    last_accent,
    plain_ask,
    printed_counts,
    printer_offsets,
    prints_of,
    spare_labels,
    wordings_of,
)
from production.labels.sheets import PreparedLabel
from production.labels.stocks import usual_printer
from soapshop.models import Workshop

NO_SHIFT = (Decimal(0), Decimal(0))
CLOSE_ENOUGH_GRAMS = Decimal("0.001")
SETTINGS = ("workshop-settings", "Open the settings")
MENDED_IN_SETTINGS = ("missing_name_and_place", "missing_responsible_person", "missing_contact", "undecided_street")
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


def list_lead(rows: Iterable[BatchRow]) -> str:
    """The first line: labels that can be printed, labels that wait or are stopped."""
    ready = sum(finish.bars for row in rows for finish in row.finishes if finish.is_ready and not finish.is_printed)
    done = sum(1 for row in rows for finish in row.finishes if finish.is_ready and finish.is_printed)
    stopped = sum(1 for row in rows for finish in row.finishes if not finish.is_ready)
    if not (ready or done or stopped):
        return "No bars wait for labels."
    first = f"{_labels(ready)} can be printed now" if ready else "No labels wait to be printed"
    rest = [f"{_finishes(stopped)} stopped" if stopped else "", f"{_finishes(done)} printed" if done else ""]
    return f"{first}{''.join(f'; {words}' for words in rest if words)}."


def plain_choices(
    batch: Batch, key: str, *, workshop: Workshop, on: date
) -> tuple[LabelAsk, dict[str, Any], list[str]]:
    """The printing that is offered first, what stands in its form, and the wordings to choose from."""
    bars = bars_by_finish(batch, plan_of(batch)).get(key, 1)
    ask, wordings = plain_ask(key, workshop=workshop, copies=bars), wordings_of(batch)
    last = batch.label_prints.filter(finish=key).only("frozen").first()
    ask = replace(ask, printer_id=usual_printer(ask.stock), accent=last_accent(batch))
    initial = first_choices(
        ask,
        spares=spare_labels(bars),
        offsets=NO_SHIFT if ask.printer_id else printer_offsets(ask.stock),
        hand_over=hand_over_day(batch, on=on),
        wordings=wordings,
        reason=last.frozen.get("reason", "") if last else "",
    )
    return replace(ask, wording=initial["wording"]), initial, wordings


def batch_page(batch: Batch, prepared: PreparedLabel, form: LabelForm) -> dict[str, Any]:
    labels, finish = prepared.labels, prepared.finish
    picture = label_picture(prepared.face, prepared.paper.stock, accent=prepared.paper.accent_hex)
    counts = printed_counts([batch])
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
        "tabs": _tabs("production:batch-labels", batch, labels, finish, counts),
        "findings": findings(prepared.problems, batch),
        "questions": prepared.asks,
        "picture": picture if isinstance(picture, LabelPicture) else None,
        "no_picture": None if isinstance(picture, LabelPicture) else picture,
        "stock": prepared.paper.stock,
        "form": form,
        "state_shape": STATE_SHAPES.get(batch.state, "waiting"),
        "asks_panel": any(problem.code == "panel_unknown" for problem in prepared.problems),
        "lead": _batch_lead(prepared, counts[batch.pk, finish.key]),
        "may_print": not has_stop,
        "prints": prints_of(batch),
        "printed": counts[batch.pk, finish.key],
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
        "tabs": _tabs("production:label-working", batch, labels, finish, Counter()),
        "findings": findings(problems, batch),
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
    if problem.code in MENDED_AT_MATERIALS:
        return reverse("formulas:material-list"), "Open the materials"
    if problem.code in ("not_weighed", "on_hold"):
        return batch.get_absolute_url(), f"Open {batch} at the bench"
    return "", ""


def _tabs(
    page: str, batch: Batch, labels: BatchLabels, here: FinishLabel, counts: Counter[tuple[int, str]]
) -> list[Tab]:
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
