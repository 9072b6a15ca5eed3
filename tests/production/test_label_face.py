"""The words of a label and their legal heights; what is missing and what has to be decided."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from formulas.geometry import BarSize
from production.batch_states import BatchState
from production.labels.face import Face, FaceWords, Maker, face_of_bar, label_face, panel_problem
from production.labels.judging import claim_problems, in_order, item_problems, state_problems
from production.labels.net_weight import net_statement

ON = date(2026, 7, 1)
MAKER = Maker("Quarry Lane Soapworks", ("12 Quarry Lane", "Elderford, OR 97000"), "", "hello@quarrylane.example")
WORDS = FaceWords("Harbor Dune", "Soap", "B26-001", MAKER)
LOAF_BAR = BarSize(Decimal(85), Decimal(65), Decimal(25), Decimal("138.125"))
FACE = Face(Decimal(85), Decimal(65), Decimal(25))


def a_label(market="us_soap", words=WORDS, face=FACE, grams="118"):
    net = net_statement(Decimal(grams), market=market)
    return label_face(words, market=market, declaration=None, net=net, face=face, on=ON)


@pytest.mark.parametrize(
    ("market", "face", "height_mm"),
    (
        # 85 × 65 mm = 8.56 sq in: over 5, up to 25 → 1/8 in (16 CFR 500.21 and 21 CFR 701.13(i), from memory)
        pytest.param("us_soap", FACE, "3.175", id="US, 8.56 sq in"),
        pytest.param("us_soap", Face(Decimal(50), Decimal(50)), "1.5875", id="US, 3.88 sq in → 1/16 in"),
        # 118 g: over 50, up to 200 g → 3 mm (Directive 76/211/EEC, Annex I, from memory)
        pytest.param("eu", FACE, "3", id="EU, 118 g"),
        # 55.25 cm²: over 32, up to 258 cm² → 3.2 mm (C.R.C. c. 417 s. 14, read)
        pytest.param("ca", FACE, "3.2", id="Canada, 55 cm²"),
    ),
)
def test_the_net_weight_has_its_legal_height(market, face, height_mm):
    assert a_label(market, face=face).net_weight_min_mm == Decimal(height_mm)


def test_the_list_height_follows_the_surface_of_the_bar():
    """21 CFR 701.3(b): 1/16 in; 1/32 in where less than 12 sq in are free for labeling (second part in a summary)."""
    assert a_label().ingredients_min_mm == Decimal("1.5875")
    assert a_label(face=Face(Decimal(40), Decimal(40), Decimal(20))).ingredients_min_mm == Decimal("0.79375")
    assert a_label(face=Face(Decimal(40), Decimal(40))).ingredients_min_mm == Decimal("1.5875")


def test_the_face_comes_from_the_mold_unless_it_is_typed():
    assert face_of_bar(LOAF_BAR, typed_mm=(None, None)) == FACE
    assert face_of_bar(LOAF_BAR, typed_mm=(Decimal(60), Decimal(40))) == Face(Decimal(60), Decimal(40), Decimal(25))
    assert face_of_bar(None, typed_mm=(None, None)) is None


def test_an_unknown_face_stops_where_the_height_hangs_on_it():
    assert panel_problem("us_soap", None).code == "panel_unknown"
    assert panel_problem("eu", None) is None
    assert panel_problem("us_soap", FACE) is None


def test_the_maker_may_need_a_word_before_the_name():
    assert Maker("Quarry Lane", ("Elderford",), "Manufactured for").lines == (
        "Manufactured for Quarry Lane",
        "Elderford",
    )
    assert Maker("", ("Elderford",), "Manufactured for").lines == ("Elderford",)


def test_best_from_stands_on_the_label_until_that_day():
    early = FaceWords("Harbor Dune", "Soap", "B26-001", MAKER, best_from=date(2026, 7, 15))
    assert a_label(words=early).best_from == "Best from Jul 15, 2026"
    past = FaceWords("Harbor Dune", "Soap", "B26-001", MAKER, best_from=ON)
    assert a_label(words=past).best_from == ""


def test_the_contact_is_printed_where_the_market_asks_for_it():
    assert a_label("us_soap").notes == ()
    assert a_label("us_cosmetic").notes == ("hello@quarrylane.example",)


@pytest.mark.parametrize(
    ("state", "codes"),
    (
        (BatchState.RELEASED, []),
        (BatchState.CURING, ["not_released"]),
        (BatchState.HELD, ["on_hold"]),
        (BatchState.SCRAPPED, ["ended"]),
    ),
)
def test_only_released_bars_are_labeled_for_sale(state, codes):
    assert [problem.code for problem in state_problems(state, hold_reason="too soft")] == codes


@pytest.mark.parametrize(
    ("product", "market", "found"),
    (
        pytest.param("Harbor Dune", "us_soap", [], id="plain"),
        pytest.param("Skin Healing Bar", "us_soap", ["claim_words"], id="a drug word (FD&C Act s.201(g))"),
        pytest.param("Moisturizing Bar", "us_soap", ["claim_words"], id="a cosmetic word on true soap"),
        pytest.param("Moisturizing Bar", "us_cosmetic", [], id="the same on a cosmetic"),
        pytest.param("Acne Bar", "eu", ["claim_words"], id="a drug word anywhere"),
    ),
)
def test_claim_words_ask_and_never_decide(product, market, found):
    face = a_label(market, words=FaceWords(product, "Soap", "B26-001", MAKER))
    problems = list(claim_problems(face, market=market))
    assert [problem.code for problem in problems] == found
    assert {problem.level for problem in problems} <= {"ask"}


def missing(market, maker=MAKER, has_street=True):
    face = a_label(market, words=FaceWords("Harbor Dune", "Soap", "B26-001", maker))
    problems = item_problems(face, market=market, on=ON, maker=maker, has_street=has_street, has_durability=False)
    return [(problem.level, problem.code) for problem in problems]


def test_a_complete_us_soap_label_lacks_nothing():
    assert missing("us_soap") == []


def test_a_missing_maker_stops():
    nobody = Maker("", ("Elderford, OR 97000", "USA"))
    assert missing("us_soap", nobody) == [("stop", "missing_name_and_place")]


def test_a_street_left_out_is_asked():
    assert missing("us_soap", has_street=False) == [("ask", "undecided_street")]


def test_a_list_that_stands_elsewhere_is_asked_where_it_is_required():
    assert ("ask", "list_off_the_label") in missing("us_cosmetic")
    assert ("ask", "list_off_the_label") not in missing("us_soap")


def test_the_gravest_problem_stands_first_and_once():
    stop, ask = next(state_problems(BatchState.CURING)), panel_problem("us_soap", None)
    note = next(iter(state_problems(BatchState.HELD)))
    assert in_order([note, stop, ask, stop]) == (note, stop, ask)


def test_a_part_that_comes_off_before_use_is_named_on_the_label():
    bare, dressed = a_label("us_soap"), a_label("us_soap", words=replace(WORDS, removed=("Reed figure",)))
    assert bare.notes == ()
    assert dressed.notes == ("Take off before use: Reed figure",)
