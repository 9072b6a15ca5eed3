"""Soap, cosmetic or drug: the CL rows of the check table, both spellings, and words that are no claims."""

import pytest

from formulas.label_rules.claims import Composition, Wording, class_prompt, find_claims, packaged_claim_words
from tests.formulas.tables.label_cases import case

WORDS = packaged_claim_words()
SOAP = Composition(is_mostly_soap=True, has_added_detergent=False)


def reading(text: str, composition: Composition = SOAP, **market: bool) -> str:
    return class_prompt([Wording("label", text)], composition, WORDS, **market).reading


@pytest.mark.parametrize(
    ("texts", "expected"),
    (
        case("CL01", ("Soap",), "soap"),
        case("CL02", ("A moisturizing bar",), "cosmetic"),
        case("CL03", ("Helps acne", "An antibacterial bar"), "drug"),
    ),
)
def test_how_the_words_read(texts, expected):
    assert [reading(text) for text in texts] == [expected] * len(texts)


@pytest.mark.parametrize("text", (
    "Moisturises", "moisturising", "MOISTURIZED", "Exfoliates gently", "deodorising", "Softens hands", "anti-ageing",
    "Anti Aging care", "leaves skin smooth", "Conditions the skin", "Nourishing oils",
))  # fmt: skip
def test_cosmetic_words_in_both_spellings(text):
    """Word families: common practice, from the statutory definition of a cosmetic."""
    assert reading(text) == "cosmetic"


@pytest.mark.parametrize("text", (
    "Anti-bacterial", "anti bacterial", "anti‑inflammatory", "Heals dry hands", "treats eczema", "for psoriasis",
    "prevents breakouts", "SPF 30", "boosts collagen", "rosacea", "cures itching",
))  # fmt: skip
def test_drug_words(text):
    """Word families: FD&C Act s.201(g); acne, eczema, rosacea, antibacterial and sunscreen are named by the FDA."""
    assert reading(text) == "drug"


@pytest.mark.parametrize("text", (
    "Cured for six weeks", "It cures for six weeks", "A healthy lather", "Treat yourself", "A smooth bar",
    "Painted with mica", "Softens water", "Wholesale", "A beautiful bar", "Licensed", "",
))  # fmt: skip
def test_words_of_the_trade_are_no_claims(text):
    assert reading(text) == "soap"


def test_pests_are_another_law():
    prompt = class_prompt([Wording("market sign", "Repels insects")], SOAP, WORDS)
    assert (prompt.reading, prompt.needs_stop) == ("pesticide", True)


def test_the_place_of_each_word_is_shown():
    hits = find_claims([Wording("label", "Plain soap"), Wording("product page", "It Heals")], WORDS)
    assert [(hit.group, hit.found, hit.where) for hit in hits] == [("drug", "Heals", "product page")]


@pytest.mark.parametrize(
    ("composition", "expected"),
    (
        (Composition(is_mostly_soap=False, has_added_detergent=False), "cosmetic"),
        (Composition(is_mostly_soap=True, has_added_detergent=True), "cosmetic"),
        (SOAP, "soap"),
    ),
)
def test_what_it_is_made_of_counts_too(composition, expected):
    """21 CFR 701.20(a), read: most of the nonvolatile matter is alkali salts of fatty acids."""
    assert reading("Soap", composition) == expected


def test_open_questions_are_asked_and_not_guessed():
    prompt = class_prompt([Wording("label", "Organic soap")], Composition(), WORDS)
    assert prompt.questions == (
        "Is most of what is left when the bar is dry soap made from fats and lye?",
        "Is any detergent added that is not soap?",
        "Some words are claims that are not checked here. Who has confirmed them?",
    )
    assert class_prompt([Wording("label", "Soap")], SOAP, WORDS).questions == ()


def test_where_all_soap_is_a_cosmetic():
    """Regulation (EC) No 1223/2009, Art. 2(1)(a), from memory."""
    assert reading("Soap", is_always_cosmetic=True) == "cosmetic"
