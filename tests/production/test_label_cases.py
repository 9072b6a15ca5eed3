"""Questions that soapmakers ask about labels, as cases; each says what the right answer is and whence."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from formulas.declaration import DeclaredInput, build_declaration
from formulas.label_rules.rulebook import packaged_tables
from formulas.label_rules.type_heights import eu_figure_height
from production.cure.forecast import DryingFacts, forecast_cure
from production.documents.label_fit import LabelDoesNotFit, fit_label
from production.documents.label_sheet import label_sheet_pdf
from production.documents.label_stock import LETTER_10, LETTER_30
from production.documents.records import LabelRun, LabelSheetPaper
from production.labels.face import FaceWords, Maker, label_face
from production.labels.net import read_net_weight
from production.labels.net_weight import NetWeightError, net_statement
from production.labels.tolerances import tolerable_error
from soapshop.paper import PaperRefused
from soapshop.typeface import missing_letters
from tests.formulas.tables.label_batch import BATCH, CASTOR, COCONUT, LYE, MICA, OLIVE, WATER, color, label_input, names
from tests.production.pdf_reading import page_texts
from tests.production.sample_papers import LABEL

D = Decimal
TABLES = packaged_tables()
ON = date(2026, 11, 1)
NINE_NAMES = ", ".join(
    f"{genus} ({common}) Cold Pressed Seed Kernel Oil"
    for genus, common in (
        ("Simmondsia Chinensis", "Jojoba"),
        ("Butyrospermum Parkii", "Shea"),
        ("Helianthus Annuus", "Sunflower"),
        ("Prunus Amygdalus Dulcis", "Sweet Almond"),
        ("Macadamia Ternifolia", "Macadamia"),
        ("Theobroma Cacao", "Cocoa"),
        ("Persea Gratissima", "Avocado"),
        ("Cocos Nucifera", "Coconut"),
        ("Ricinus Communis", "Castor"),
    )
)


@pytest.mark.parametrize(
    ("lye_percent", "loss_percent"),
    [
        pytest.param("37", "8.7", id="case-C37: strong lye dries by about 8.7 %"),
        pytest.param("32", "12.3", id="case-C37: 30 to 32 % lye dries by about 12 to 14 %"),
        pytest.param("30", "14.0", id="case-C37: and is smaller for it"),
    ],
)
def test_bars_of_weaker_lye_end_up_smaller(lye_percent, loss_percent):
    """Worked by hand from 0.1355 g NaOH for 1 g oils and 9 % water at the end: a mixed order wants one strength."""
    lye = D("135.5")
    water = lye * (100 - D(lye_percent)) / D(lye_percent)
    facts = DryingFacts(ON, 100 * water / (1000 + lye + water), fresh_grams=D(100))
    assert round(forecast_cure(facts).end_loss_percent.expected, 1) == D(loss_percent)


def test_the_lowest_bar_less_what_it_still_loses_goes_on_the_label():
    """case-C38: bars from 3.5 oz that lose 5 % more hold 3.325 oz (worked by hand: 3.5 × 28.3495 × 0.95 g)."""
    lowest = D("3.5") * D("28.3495") * D("0.95")
    assert net_statement(lowest, market="us_cosmetic").text == "Net Wt 3.32 oz (94 g)"


@pytest.mark.parametrize("typed", ["4-5 oz", "4 to 5 oz", "about 4 oz"])
def test_a_range_is_no_net_weight(typed):
    """case-C39: a range or a guess is refused with a sentence."""
    with pytest.raises(NetWeightError):
        read_net_weight(typed, market="us_soap")


def test_what_a_bar_of_a_hundred_grams_may_fall_short():
    """case-C40: 4.5 g under 100 g; few bars under 95.5 g, none under 91 g (76/211/EEC, Annex I 2.4)."""
    error = tolerable_error(D(100), ON)
    assert (error.grams, error.first_limit_grams, error.second_limit_grams) == (D("4.5"), D("95.5"), D(91))


@pytest.mark.parametrize(
    ("grams", "height_mm"),
    [
        pytest.param("50", "2", id="case-C41: to 50 g"),
        pytest.param("100", "3", id="case-C41: 100 g stands in the band to 200 g"),
        pytest.param("201", "4", id="case-C41: over 200 g"),
        pytest.param("1001", "6", id="case-C41: over 1 kg"),
    ],
)
def test_the_height_of_figures_follows_the_weight(grams, height_mm):
    assert eu_figure_height(D(grams), ON).height_mm == D(height_mm)


def test_codes_are_printed_as_they_were_written():
    """case-C76: a code is text; no leading zero and no letter E is lost."""
    for code in ("071011", "22E1", "1-2"):
        said = page_texts(
            label_sheet_pdf(LabelSheetPaper(LETTER_10, (LabelRun(replace(LABEL, batch_number=code), 1),)))
        )
        assert f"Batch {code}" in said[0]


def test_european_scripts_print_and_others_are_named():
    """case-C78: Czech, Greek and Cyrillic print; a script that is not there is refused by name, never boxes."""
    assert missing_letters("Žluťoučký kůň, Ελληνικά, Кириллица") == ()
    with pytest.raises(PaperRefused, match="hebrew letter shin"):
        label_sheet_pdf(LabelSheetPaper(LETTER_10, (LabelRun(replace(LABEL, wording="שלום"), 1),)))


def test_a_list_too_long_for_the_label_is_never_cut_off():
    """case-C79: nine long names at 1/16 in do not fit on a small label; a band and a leaflet are offered."""
    face = replace(LABEL, ingredients=f"Ingredients: {NINE_NAMES}", ingredients_min_mm=D("1.5875"))
    with pytest.raises(LabelDoesNotFit) as refused:
        fit_label(face, LETTER_30)
    first, second = refused.value.choices
    assert "bands" in first
    assert "leaflet" in second


def test_accents_of_a_second_language_are_kept():
    """case-C80: French names keep their accents on paper."""
    face = replace(LABEL, identity="Savon / Soap", wording="Lait de chèvre, miel, crème brûlée")
    said = page_texts(label_sheet_pdf(LabelSheetPaper(LETTER_10, (LabelRun(face, 1),))))[0]
    assert "Lait de chèvre, miel, crème brûlée" in said


VINEGAR = DeclaredInput("Vinegar", D(120), "liquid", names("Vinegar", "Acetum"), water_fraction=D("0.95"))
MILK = DeclaredInput("Goat milk", D(170), "liquid", names("Goat Milk", "Caprae Lac"), water_fraction=D("0.87"))
HONEY = DeclaredInput("Honey", D(12), "additive", names("Honey", "Mel"), water_fraction=D("0.17"))
MILKY = (VINEGAR, MILK, HONEY, CASTOR, COCONUT, OLIVE)


@pytest.mark.parametrize("style", ["as_added", "as_resulting"])
def test_a_list_without_lye_or_in_a_doubtful_order_is_put_right(style):
    """case-C81: typed as vinegar, milk, honey, castor, oils and no lye; worked by hand: by falling weight, with lye."""
    asked = label_input(*MILKY, style=style, market="us_cosmetic", cured_mass_grams=None, lowest_cured_mass_grams=None)
    assert "no_lye" in [p.code for p in build_declaration(asked, TABLES).problems if p.level == "stop"]
    listed = [entry.name for entry in build_declaration(replace(asked, inputs=(*MILKY, LYE)), TABLES).entries]
    first, count = {
        "as_added": ("Olive Oil, Coconut Oil, Castor Seed Oil, Goat Milk, Sodium Hydroxide, Vinegar, Honey", 7),
        "as_resulting": ("Sodium Olivate, Sodium Cocoate, Water, Sodium Castorate", 4),
    }[style]
    assert ", ".join(listed[:count]) == first
    assert ("Sodium Hydroxide" in listed) == (style == "as_added")


def test_what_colors_a_stamp_is_an_ingredient_of_those_bars_alone():
    """case-C56: a tint in a date stamp stands on their list; face paint is no color for soap and is flagged."""
    paint = color("Face paint, gold", "0.6", "Face paint, gold", "none")
    stamp = DeclaredInput("Date stamp", D("0.6"), "part", components=(paint,))
    plain = build_declaration(label_input(market="us_cosmetic"), TABLES)
    stamped = build_declaration(label_input(*BATCH, stamp, market="us_cosmetic"), TABLES)
    assert {p.code for p in stamped.problems} - {p.code for p in plain.problems} == {"color_not_listed"}
    assert not stamped.is_printable
    mica = replace(paint, material="Mica, gold", names=MICA.names)
    tinted = build_declaration(label_input(OLIVE, LYE, WATER, replace(stamp, components=(mica,)), market="eu"), TABLES)
    assert tinted.text.endswith("CI 77019")


def test_many_variants_print_in_the_count_each_needs():
    """case-C82: seven scents of one soap share sheets, each as often as it is needed."""
    runs = tuple(LabelRun(replace(LABEL, product=f"Harbor Hill {scent}"), scent) for scent in range(1, 8))
    said = " ".join(page_texts(label_sheet_pdf(LabelSheetPaper(LETTER_10, runs))))
    assert [said.count(f"Harbor Hill {scent}") for scent in range(1, 8)] == [1, 2, 3, 4, 5, 6, 7]


def test_the_owner_may_say_that_the_room_is_shared():
    """case-C91: the owner's own words are printed beside the list; nothing is concluded from them."""
    words = FaceWords("Dune", "Soap", "B26-1", Maker("Quarry Lane", ("Elderford",)), room_words="Made beside nut oils")
    face = label_face(words, market="us_soap", declaration=None, net=None, face=None, on=ON)
    assert face.notes == ("Made beside nut oils",)
