"""One printing, made ready: the label, the sheet it goes on, how it came about and what stands in its way."""

from dataclasses import dataclass, replace
from datetime import date

from formulas.label_rules.problems import Problem
from production.batches.models import Batch
from production.documents.label_records import LabelFace, LabelLayout, LabelRun, LabelSheetPaper, LetterMeasure
from production.labels.choices import LabelAsk
from production.labels.decided import Answers, answers_of, is_decided, placed, settled
from production.labels.declared import BatchLabels, FinishLabel, batch_labels
from production.labels.desk import Desk
from production.labels.face import face_of_bar, height_working, label_face, panel_problem
from production.labels.face_words import bar_size, face_words, named_maker, required_problems
from production.labels.judging import asks, claim_problems, in_order, state_problems, stops
from production.labels.logos import logo_of
from production.labels.net import NetFigure, WorkingLine, net_figure
from production.labels.present import present_day
from production.labels.stocks import all_stocks, find_stock, printer_correction, shifted
from soapshop.frozen_json import from_json, to_json
from soapshop.models import Workshop

TRIAL = "TRIAL – not for sale"


class LabelRefusal(Exception):
    """These labels cannot be printed; the message says why and the mend."""


@dataclass(frozen=True)
class FrozenLabel:
    """Everything that was on a printed label and what it stood on. Later changes never reach it."""

    paper: LabelSheetPaper
    finish: str
    finish_name: str
    market: str
    style: str
    rules: str
    basis: str
    list_text: str
    net_working: tuple[WorkingLine, ...]
    hand_over: date
    printed_on: date
    answered: tuple[Problem, ...] = ()
    reason: str = ""


@dataclass(frozen=True)
class PreparedLabel:
    """What a page shows before anything is printed, and what printing freezes."""

    ask: LabelAsk
    finish: FinishLabel
    net: NetFigure
    face: LabelFace
    working: tuple[WorkingLine, ...]
    problems: tuple[Problem, ...]
    labels: BatchLabels
    paper: LabelSheetPaper

    @property
    def stops(self) -> tuple[Problem, ...]:
        return stops(self.problems)

    @property
    def decided(self) -> tuple[Problem, ...]:
        """Questions that were answered before, with who decided what."""
        return tuple(problem for problem in self.problems if is_decided(problem))

    @property
    def asks(self) -> tuple[Problem, ...]:
        return asks(self.problems)


def prepare_label(
    batch: Batch, ask: LabelAsk, *, workshop: Workshop, on: date, desk: Desk | None = None
) -> PreparedLabel:
    """Work out one label of a batch. Refuses a finish or a stock that is not there; what the desk has is not read."""
    present = present_day([batch], workshop=workshop, market=ask.market)
    labels = batch_labels(batch, present, market=ask.market, style=ask.style, on=on, hand_over=ask.hand_over)
    return prepared_from(batch, labels, ask, workshop=workshop, on=on, desk=desk)


def prepared_from(
    batch: Batch,
    labels: BatchLabels,
    ask: LabelAsk,
    *,
    workshop: Workshop,
    on: date,
    answers: Answers | None = None,
    desk: Desk | None = None,
) -> PreparedLabel:
    """The same for labels that are worked out already; `answers` given before are read where there is a question."""
    finish, stock = labels.finish(ask.finish), desk.stocks.get(ask.stock) if desk else find_stock(ask.stock)
    if finish is None:
        raise LabelRefusal(f"{batch} has no bars of the finish “{ask.finish[:40]}”. Choose one of its finishes.")
    if stock is None:
        raise LabelRefusal(f"There is no label stock “{ask.stock[:40]}”. Choose one of: {', '.join(all_stocks())}.")
    net = net_figure(
        finish.weights,
        parts_grams=finish.parts_grams,
        removed_grams=finish.removed_grams,
        market=ask.market,
        typed=ask.net_weight,
        lot=finish.lot,
    )
    maker = named_maker(workshop, ask, labels.person)
    bar = face_of_bar(bar_size(batch), typed_mm=(ask.panel_width_mm, ask.panel_height_mm))
    words = replace(
        face_words(batch, labels, ask, workshop, maker), removed=tuple(part.name for part in finish.removed)
    )
    logo = logo_of(workshop) if ask.has_logo else None
    words = replace(words, logo_aspect=logo.aspect) if logo else words
    face = label_face(words, market=ask.market, declaration=finish.declaration, net=net.statement, face=bar, on=on)
    is_second = face.layout == LabelLayout.WORDS
    problems = [
        *state_problems(batch.state, hold_reason=batch.hold_reason),
        *finish.problems,
        *([Problem("stop", "no_list", finish.refusal, "")] if finish.refusal else []),
        *(finish.declaration.problems if finish.declaration else ()),
        *(() if is_second else net.problems),
        *([missing] if not is_second and (missing := panel_problem(ask.market, bar)) else []),
        *claim_problems(face, market=ask.market),
        *required_problems(face, words, ask, workshop, on, has_report=labels.assessed is not None),
    ]
    printer = shifted(
        printer_correction(ask.printer_id, stock, known=desk.fits if desk else None), ask.offset_x_mm, ask.offset_y_mm
    )
    problems = placed(problems, ask.elsewhere.value)
    if answers is None:
        answers = answers_of([batch]) if asks(problems) else {}
    problems = settled(problems, design_id=batch.design_id, market=ask.market, answers=answers)
    paper = LabelSheetPaper(
        stock=stock,
        runs=(LabelRun(face, ask.copies),),
        title=f"Labels, batch {batch.number}: {face.product}",
        start_position=ask.start_position,
        offset_x_mm=printer.offset_x_mm,
        offset_y_mm=printer.offset_y_mm,
        scale_x=printer.scale_x,
        scale_y=printer.scale_y,
        logo_name=logo.file_name if logo else "",
        accent_hex=ask.accent,
        has_cut_marks=ask.has_cut_marks,
    )
    working = (*net.working, *height_working(ask.market, face, bar))
    return PreparedLabel(ask, finish, net, face, working, in_order(problems), labels, paper)


def frozen_label(prepared: PreparedLabel, *, reason: str) -> FrozenLabel:
    declaration = prepared.finish.declaration
    return FrozenLabel(
        paper=prepared.paper,
        finish=prepared.finish.key,
        finish_name=prepared.finish.name,
        market=prepared.ask.market,
        style=prepared.ask.style,
        rules=f"{declaration.rule_set.title}: {declaration.rule_set.source}" if declaration else "",
        basis=prepared.labels.basis,
        list_text=f"{declaration.heading}: {declaration.text}" if declaration else "",
        net_working=prepared.working,
        hand_over=prepared.labels.hand_over,
        printed_on=prepared.labels.on,
        answered=(*prepared.asks, *prepared.decided),
        reason=reason,
    )


def label_to_json(label: FrozenLabel) -> dict[str, object]:
    frozen: dict[str, object] = to_json(label)
    return frozen


def label_from_json(given: dict[str, object]) -> FrozenLabel:
    """Read a printed label back, word for word."""
    label = from_json(FrozenLabel, given)
    runs = tuple(
        replace(run, face=replace(run.face, net_weight_measure=LetterMeasure(run.face.net_weight_measure)))
        for run in label.paper.runs
    )
    return replace(label, paper=replace(label.paper, runs=runs))


def trial_paper(prepared: PreparedLabel) -> LabelSheetPaper:
    """One sheet on plain paper to lay over the labels: outlined, and marked so that it never goes on a bar."""
    face = replace(prepared.face, brand=TRIAL, net_weight=prepared.face.net_weight or "Net Wt –")
    if face.layout == LabelLayout.WORDS:
        face = replace(face, wording=f"{TRIAL}: {face.wording}", net_weight="")
    per_page = prepared.paper.stock.labels_per_page
    copies = min(prepared.ask.copies, per_page - prepared.paper.start_position + 1)
    return replace(
        prepared.paper,
        runs=(LabelRun(face, max(copies, 1)),),
        title=f"Trial: {prepared.paper.title}",
        has_outlines=True,
    )
