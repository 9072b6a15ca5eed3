"""What stands between a label and its printing, gathered from every rule that has a say. No Django."""

from collections.abc import Iterable
from datetime import date

from formulas.label_rules.claims import Composition, Wording, class_prompt, packaged_claim_words
from formulas.label_rules.problems import Problem
from formulas.label_rules.required_items import missing_items
from production.batch_states import BatchState
from production.documents.records import LabelFace, LabelLayout
from production.labels.face import Maker

LEVELS = {"stop": 0, "ask": 1, "note": 2}
ALL_SOAP_IS_COSMETIC = ("eu", "uk", "ca")
BEFORE_RELEASE = "not_released"
OFF_THE_LABEL = Problem(
    "ask",
    "list_off_the_label",
    "The ingredient list does not stand on this label.",
    "Choose where it stands: on the box, a tag or a leaflet that goes with each bar.",
)
SECOND_STICKER = Problem(
    "ask",
    "second_sticker",
    "This sticker carries the customer's words alone.",
    "Print the label with the required items too, and choose where it stands: under the bar, on the box, on a tag.",
)
NO_WORDING = Problem(
    "stop",
    "no_wording",
    "There is no wording to print: none of the orders of this batch has one chosen here.",
    "Choose the customer's wording, or write it into the order line first.",
)
ENDED = (BatchState.REJECTED, BatchState.SCRAPPED, BatchState.REWORKED, BatchState.CANCELLED)


def state_problems(state: BatchState, *, hold_reason: str = "") -> Iterable[Problem]:
    if state == BatchState.HELD:
        yield Problem("stop", "on_hold", f"This batch is on hold: {hold_reason}", "Clear the hold at the bench first.")
    elif state in ENDED:
        yield Problem(
            "stop", "ended", f"This batch is {state.label.lower()}. Its bars are not for sale.", "Label another batch."
        )
    elif state != BatchState.RELEASED:
        yield Problem(
            "stop",
            BEFORE_RELEASE,
            f"This batch is {state.label.lower()}, not released.",
            "Release it on the cure rack. A trial sheet may be printed meanwhile.",
        )


def claim_problems(face: LabelFace, *, market: str) -> Iterable[Problem]:
    """Words that make the bar something else in law. They prompt a person; nothing is decided here."""
    wordings = (
        Wording("product name", face.product),
        Wording("identity", face.identity),
        Wording("customer's wording", face.wording),
        Wording("brand", face.brand),
    )
    prompt = class_prompt(
        wordings,
        Composition(is_mostly_soap=True, has_added_detergent=False),
        packaged_claim_words(),
        is_always_cosmetic=market in ALL_SOAP_IS_COSMETIC,
    )
    if not prompt.hits:
        return
    if not prompt.needs_stop and market != "us_soap" and all(hit.group == "cosmetic" for hit in prompt.hits):
        return
    found = ", ".join(f"“{hit.found}” in the {hit.where}" for hit in prompt.hits)
    yield Problem("ask", "claim_words", f"{prompt.text} Found: {found}.", " ".join((prompt.mend, *prompt.questions)))


def item_problems(
    face: LabelFace,
    *,
    market: str,
    on: date,
    maker: Maker,
    has_street: bool,
    has_durability: bool,
    has_report: bool = False,
) -> tuple[Problem, ...]:
    """What the law of the market wants on the label and is not there, or has to be decided by a person."""
    if face.layout == LabelLayout.WORDS:
        return (SECOND_STICKER,) if face.wording else (NO_WORDING,)
    has_maker = maker.is_complete
    filled = {
        "identity": face.identity,
        "net_quantity": face.net_weight,
        "name_and_place": "yes" if has_maker else "",
        "responsible_person": "yes" if has_maker and maker.is_person_of_market else "",
        "country_of_origin": maker.origin,
        "safety_report": "yes" if has_report else "",
        "role_word": "yes",
        "street": "yes" if has_street else "",
        "batch_number": face.batch_number,
        "ingredients": face.ingredients,
        "contact": maker.contact,
        "durability": "yes" if has_durability else "",
    }
    return tuple(
        OFF_THE_LABEL if problem.code == "missing_ingredients" else problem
        for problem in missing_items(market, filled=filled, decisions={}, on_date=on)
    )


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """The gravest first, each once."""
    return tuple(sorted(dict.fromkeys(problems), key=lambda problem: LEVELS[problem.level]))


def stops(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    return tuple(problem for problem in problems if problem.level == "stop")


def asks(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    return tuple(problem for problem in problems if problem.level == "ask")
