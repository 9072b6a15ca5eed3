"""Drafts of letters to a customer. A person reads, changes and sends them; nothing goes out by itself."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class About(StrEnum):
    SHEET = "sheet"
    PAPER = "paper"
    DUE = "due"
    LATE = "late"
    SHORT = "short"
    READY = "ready"


LABELS: dict[About, str] = {
    About.SHEET: "The sheet to approve",
    About.PAPER: "A paper",
    About.DUE: "What is due",
    About.LATE: "It will be late",
    About.SHORT: "Bars are missing",
    About.READY: "It is ready",
}


@dataclass(frozen=True)
class LetterFacts:
    customer: str
    shop: str
    number: str
    needed_by: date
    due_words: str = ""  # "the deposit of $142.20, due May 19"
    page_address: str = ""
    paper: str = ""
    choices: tuple[str, ...] = ()
    missing_bars: int = 0


@dataclass(frozen=True)
class Draft:
    subject: str
    body: str


def draft(about: About, facts: LetterFacts) -> Draft:
    subject, paragraphs = _WRITERS[about](facts)
    return Draft(subject, "\n\n".join((f"Dear {facts.customer},", *paragraphs, f"Kind regards\n{facts.shop}")))


def _sheet(facts: LetterFacts) -> tuple[str, tuple[str, ...]]:
    where = facts.page_address or "(open the customer's page first; its address goes here)"
    return f"Your order {facts.number}: please look it over", (
        "here is the sheet of your order with its picture, days and price. Please check names, dates and wording "
        "letter by letter and approve it on this page:",
        where,
        "We start when you have approved it and the deposit is in.",
    )


def _paper(facts: LetterFacts) -> tuple[str, tuple[str, ...]]:
    return f"{facts.paper or 'Paper'} for your order {facts.number}", (
        f"please find attached: {facts.paper or '(choose the paper below)'}.",
    )


def _due(facts: LetterFacts) -> tuple[str, tuple[str, ...]]:
    return f"Your order {facts.number}: what is due", (
        f"a short reminder for your order {facts.number}: {facts.due_words or 'nothing is open'}.",
        "If it is on its way already, please forget this note.",
    )


def _late(facts: LetterFacts) -> tuple[str, tuple[str, ...]]:
    return f"Your order {facts.number}: we need to talk about the day", (
        f"we will not have all of your order ready by {_day(facts.needed_by)} as agreed. We are sorry, and we tell you "
        "now so that there is time to choose:",
        _listed(facts.choices),
        "Please tell us which suits you best.",
    )


def _short(facts: LetterFacts) -> tuple[str, tuple[str, ...]]:
    bars = f"{facts.missing_bars} of your bars" if facts.missing_bars else "some of your bars"
    return f"Your order {facts.number}: some bars are missing", (
        f"{bars} did not pass our checks, and we do not hand over what we would not use ourselves. "
        "This is what we can do:",
        _listed(facts.choices),
        "Please tell us which suits you best.",
    )


def _ready(facts: LetterFacts) -> tuple[str, tuple[str, ...]]:
    due = f"Still open: {facts.due_words}." if facts.due_words else "Everything is paid, thank you."
    return f"Your order {facts.number} is ready", ("your bars have cured, passed our checks and wait for you.", due)


_WRITERS = {
    About.SHEET: _sheet,
    About.PAPER: _paper,
    About.DUE: _due,
    About.LATE: _late,
    About.SHORT: _short,
    About.READY: _ready,
}


def _listed(choices: tuple[str, ...]) -> str:
    return "\n".join(f"- {choice}" for choice in choices) or "- (write down what you can offer)"


def _day(day: date) -> str:
    return f"{day:%B} {day.day}, {day.year}"
