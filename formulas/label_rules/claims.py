"""Soap, cosmetic or drug? Words on label, page and sign decide along with what the bar is made of.

This prompts a person. It never decides: the same word can be a claim here and a plain remark there.
"""

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from formulas.label_rules.rows import rows_of

Group = Literal["cosmetic", "drug", "pesticide", "unchecked"]
Reading = Literal["soap", "cosmetic", "drug", "pesticide"]


@dataclass(frozen=True)
class ClaimWord:
    group: Group
    words: str
    match: Literal["stem", "word", "phrase"]
    unless_next: tuple[str, ...]
    basis: str


@dataclass(frozen=True)
class ClaimHit:
    group: Group
    found: str  # as it is written in the text
    where: str
    basis: str


@dataclass(frozen=True)
class Wording:
    """One text the customer sees, and where: "label", "product page", "market sign"."""

    where: str
    text: str


@dataclass(frozen=True)
class Composition:
    """None: nobody has said yet."""

    is_mostly_soap: bool | None = None  # alkali salts of fatty acids are the bulk of the nonvolatile matter
    has_added_detergent: bool | None = None


@dataclass(frozen=True)
class ClassPrompt:
    reading: Reading
    text: str
    mend: str
    hits: tuple[ClaimHit, ...]
    questions: tuple[str, ...]
    needs_stop: bool  # words that read like a drug or a pesticide: print nothing before a person has decided


PROMPTS: dict[Reading, tuple[str, str]] = {
    "soap": (
        "This reads like plain soap.",
        "Keep every other text about the bar, the shop page too, to words about cleaning.",
    ),
    "cosmetic": (
        "This reads like a cosmetic.",
        "Print an ingredient list and a contact, or take the words out everywhere. A consultant can confirm the class.",
    ),
    "drug": (
        "This reads like a drug claim.",
        "Take the words out, or stop and ask a qualified person before anything is printed.",
    ),
    "pesticide": (
        "This reads like a claim against pests, which another law governs.",
        "Take the words out, or stop and ask a qualified person before anything is printed.",
    ),
}


def packaged_claim_words() -> tuple[ClaimWord, ...]:
    return tuple(
        ClaimWord(row["group"], row["words"], row["match"], tuple(row["unless_next"].split()), row["basis"])  # type: ignore[arg-type]
        for row in rows_of("claim_words")
    )


def find_claims(wordings: Iterable[Wording], words: Sequence[ClaimWord]) -> tuple[ClaimHit, ...]:
    """Return every claim word, in both spellings, with the place it stands in."""
    hits: dict[tuple[str, str, str], ClaimHit] = {}
    for wording in wordings:
        tokens = _tokens(wording.text)
        for claim in words:
            for start in range(len(tokens)):
                found = _match(tokens, start, claim)
                if found:
                    hits.setdefault(
                        (claim.group, found.casefold(), wording.where),
                        ClaimHit(claim.group, found, wording.where, claim.basis),
                    )
    return tuple(hits.values())


def class_prompt(
    wordings: Iterable[Wording],
    composition: Composition,
    words: Sequence[ClaimWord],
    *,
    is_always_cosmetic: bool = False,
) -> ClassPrompt:
    """Return how the bar reads. `is_always_cosmetic`: markets where all soap for the skin is a cosmetic."""
    hits = find_claims(wordings, words)
    groups = {hit.group for hit in hits}
    is_soap_made = composition.is_mostly_soap is not False and composition.has_added_detergent is not True
    reading: Reading = "soap"
    if "drug" in groups:
        reading = "drug"
    elif "pesticide" in groups:
        reading = "pesticide"
    elif "cosmetic" in groups or not is_soap_made or is_always_cosmetic:
        reading = "cosmetic"
    text, mend = PROMPTS[reading]
    return ClassPrompt(
        reading, text, mend, hits, tuple(_questions(composition, groups)), reading in ("drug", "pesticide")
    )


def _questions(composition: Composition, groups: set[Group]) -> Iterable[str]:
    if composition.is_mostly_soap is None:
        yield "Is most of what is left when the bar is dry soap made from fats and lye?"
    if composition.has_added_detergent is None:
        yield "Is any detergent added that is not soap?"
    if "unchecked" in groups:
        yield "Some words are claims that are not checked here. Who has confirmed them?"


def _tokens(text: str) -> list[tuple[str, str]]:
    """Return (as compared, as written). Hyphens and the gap after "anti" close up; British spellings turn American."""
    plain = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    plain = re.sub(r"[\u2010-\u2015\u2212]", "-", plain)
    tokens: list[tuple[str, str]] = []
    for written in re.findall(r"[A-Za-z]+(?:-[A-Za-z]+)*", plain):
        word = _american(written.casefold().replace("-", ""))
        if tokens and tokens[-1][0] == "anti":
            before = tokens.pop()
            tokens.append(("anti" + word, f"{before[1]} {written}"))
        else:
            tokens.append((word, written))
    return tokens


def _american(word: str) -> str:
    word = re.sub(r"is(e|es|ed|er|ers|ing|ation)$", r"iz\1", word)
    return word.replace("ageing", "aging").replace("odour", "odor")


def _match(tokens: Sequence[tuple[str, str]], start: int, claim: ClaimWord) -> str:
    """Return the words as written when the claim stands at this place, else an empty text."""
    wanted = claim.words.split()
    here = tokens[start : start + len(wanted)]
    if len(here) < len(wanted):
        return ""
    for (token, _), word in zip(here, wanted, strict=True):
        is_met = token.startswith(word) if claim.match == "stem" else token == word
        if not is_met:
            return ""
    after = tokens[start + len(wanted)][0] if start + len(wanted) < len(tokens) else ""
    return "" if after in claim.unless_next else " ".join(written for _, written in here)
