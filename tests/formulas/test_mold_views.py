"""The pages of molds, through a signed-in client."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from formulas.models import Mold
from soapshop.models import User
from tests.formulas.builders import draft_formula, loaf
from tests.formulas.test_formula_views import text_of

pytestmark = pytest.mark.django_db
NEW = "formulas:mold-new"
LOAF = {
    "kind": "loaf", "name": "Tall loaf", "length_mm": "10 in", "width_mm": "3 1/2 in", "height_mm": "70",
    "bar_thickness_mm": "1 in", "end_trim_mm": "", "usable_bars": "", "headroom_percent": "2.5", "owned": "2",
}  # fmt: skip


def test_sizes_are_typed_in_inches_or_millimeters(owner_client: Client):
    response = owner_client.post(reverse(NEW), LOAF)
    made = Mold.objects.get()
    assert response.headers["Location"] == made.get_absolute_url()
    # Exact by definition of the inch: 10 in = 254 mm, 3.5 in = 88.9 mm; ten bars of 25.4 mm, worked by hand.
    assert (made.length_mm, made.width_mm, made.height_mm, made.usable_bars) == (
        Decimal(254),
        Decimal("88.9"),
        Decimal(70),
        10,
    )


@pytest.mark.parametrize(
    ("figures", "bars"),
    (
        ({"kind": "slab", "length_mm": "300", "width_mm": "200", "height_mm": "30", "rows": "4", "columns": "5"}, 20),
        ({"kind": "cavity", "cavity_ml": "120", "cavities": "6"}, 6),
        ({"kind": "column", "diameter_mm": "70", "length_mm": "300", "bar_thickness_mm": "25"}, 12),
    ),
)
def test_each_shape_asks_for_its_own_sizes(owner_client: Client, figures: dict, bars: int):
    # Bars worked by hand: 4 × 5; 6 hollows; 300 / 25.
    data = {"name": "Other", "headroom_percent": "2.5", "owned": "1"} | figures
    assert owner_client.get(reverse(NEW), {"kind": figures["kind"]}).status_code == 200
    owner_client.post(reverse(NEW), data)
    made = Mold.objects.get()
    assert made.usable_bars == bars
    assert owner_client.get(made.get_absolute_url()).status_code == 200
    assert owner_client.get(reverse("formulas:mold-edit", args=[made.pk])).status_code == 200


@pytest.mark.parametrize(
    ("figures", "sentence"),
    (
        ({"length_mm": "ten"}, "“ten” cannot be read as a length. Type it like this: 25 mm or 3.5 in."),
        ({"length_mm": "250 g"}, "a length is needed, such as 25 mm or 3.5 in."),
        ({"length_mm": "-3 in"}, "“-3 in” is less than nothing. Type a length of 0 or more."),
        ({"length_mm": "99 m"}, "is not a unit used here"),
        ({"length_mm": "99999"}, "A mold is not longer than 10 m. Check the number and its unit."),
        ({"length_mm": ""}, "Measure the inside and type it, such as 254 mm or 10 in."),
        ({"length_mm": "0"}, "The length of a mold is above 0. Measure the inside and correct it."),
        ({"bar_thickness_mm": "20 in"}, "One bar is thicker than the mold is long."),
        ({"end_trim_mm": "6 in"}, "The two trimmed ends are longer than the mold. Trim less."),
        ({"usable_bars": "11"}, "One filling gives 10 bars, so 11 good ones cannot come out of it."),
        ({"usable_bars": "0"}, "Not one good bar comes out of this."),
        ({"owned": "many"}, "That is not a whole number. Type one such as 12."),
        ({"headroom_percent": "99"}, "Leave between 0 and 90 percent of the height empty."),
        ({"name": ""}, "This is still empty. Type it."),
    ),
)
def test_a_mold_that_cannot_be_true_is_refused_and_kept(owner_client: Client, figures: dict, sentence: str):
    response = owner_client.post(reverse(NEW), LOAF | figures)
    assert response.status_code == 200
    assert sentence in text_of(response)
    for entry in figures.values():
        assert f'value="{entry}"' in response.content.decode() or not entry
    assert not Mold.objects.exists()


def test_a_name_is_taken_once(owner_client: Client, owner: User):
    loaf("Tall Loaf", by=owner)
    assert "There is a mold named “Tall loaf” already." in text_of(owner_client.post(reverse(NEW), LOAF))


def test_a_mold_is_changed_with_its_sizes_kept(owner_client: Client, owner: User):
    kept = loaf(by=owner)
    url = reverse("formulas:mold-edit", args=[kept.pk])
    assert 'value="25.4 mm"' in owner_client.get(url).content.decode()
    owner_client.post(url, LOAF | {"name": "Ten-inch loaf", "usable_bars": "9"})
    kept.refresh_from_db()
    assert (kept.usable_bars, kept.owned) == (9, 2)


def test_a_mold_shows_what_a_formula_takes_to_fill_it(owner_client: Client, owner: User):
    mold, revision = loaf(by=owner), draft_formula(by=owner)
    response = owner_client.get(mold.get_absolute_url(), {"formula": revision.formula_id})
    # Worked by hand: 254 × 89 × 70 mm, 2.5 % left empty, takes 1542.8595 ml.
    assert round(response.context["fill"].plan.batter_ml, 4) == Decimal("1542.8595")
    assert "The weigh-out of Recipe R, revision 1 for this mold" in text_of(response)


@pytest.mark.parametrize("asked", ("999", "x", "9" * 40))
def test_an_unknown_formula_is_no_server_error(owner_client: Client, owner: User, asked: str):
    assert owner_client.get(loaf(by=owner).get_absolute_url(), {"formula": asked}).status_code == 200


def test_the_list_reads_in_a_fixed_number_of_queries(owner_client: Client, owner: User, django_assert_num_queries):
    loaf(by=owner)
    url = reverse("formulas:mold-list")
    with django_assert_num_queries(4):
        owner_client.get(url)
    loaf("Second", by=owner)
    loaf("Third", by=owner)
    with django_assert_num_queries(4):
        owner_client.get(url)


def test_an_unknown_mold_is_not_found(owner_client: Client):
    assert owner_client.get(reverse("formulas:mold", args=[999])).status_code == 404


def test_bars_of_a_weight_are_sized_both_ways(owner_client: Client, owner: User):
    mold, formula = loaf(by=owner), draft_formula(by=owner).formula
    asked = {"formula": formula.pk, "bars": "10", "cured": "90 g"}
    response = owner_client.get(mold.get_absolute_url(), asked)
    cut, filled = response.context["ways"]
    full = response.context["fill"].plan
    # Worked by hand: a bar grows with its thickness and with the height of its fill.
    assert round(cut.plan.bar_thickness_mm / Decimal("25.4"), 4) == round(
        cut.plan.fresh_bar_grams / full.fresh_bar_grams, 4
    )
    height = filled.plan.fill_height_mm / full.fill_height_mm
    assert round(height, 4) == round(filled.plan.fresh_bar_grams / full.fresh_bar_grams, 4)
    assert filled.plan.bars == 10


def test_case_c32_bars_are_sized_by_what_the_own_bars_kept(owner_client: Client, owner: User):
    """case-C32: bars that keep 88 % of their fresh weight; 100 g cured are 113.6 g fresh, worked by hand."""
    mold, formula = loaf(by=owner), draft_formula(by=owner).formula
    asked = {"formula": formula.pk, "bars": "10", "cured": "100 g", "kept": "88 %"}
    response = owner_client.get(mold.get_absolute_url(), asked)
    assert {round(way.plan.fresh_bar_grams, 1) for way in response.context["ways"]} == {Decimal("113.6")}
    assert "Cured weight by the 88 % that you typed." in text_of(response)


@pytest.mark.parametrize(
    ("asked", "sentence"),
    (
        ({"bars": "9", "cured": "90 g", "kept": "8"}, "A cured bar keeps between 50 and 100 percent"),
        ({"bars": "9", "cured": "90 g", "kept": "most"}, "most"),
        ({"bars": "many", "cured": "90"}, "How many bars? Type a whole number from 1 to 10,000."),
        ({"bars": "9", "cured": ""}, "Type"),
        ({"bars": "9", "cured": "300 g"}, "Use a taller or wider mold, or ask for lighter bars."),
        ({"bars": "9", "cured": "30 kg"}, "Use a wider mold, or ask for lighter bars."),
    ),
)
def test_bars_a_mold_cannot_give_are_refused(owner_client: Client, owner: User, asked: dict, sentence: str):
    mold, formula = loaf(by=owner), draft_formula(by=owner).formula
    assert sentence in text_of(owner_client.get(mold.get_absolute_url(), asked | {"formula": formula.pk}))


SLAB = {
    "kind": "slab", "name": "Tall loaf, poured flat", "length_mm": "254", "width_mm": "89", "height_mm": "70",
    "rows": "1", "columns": "4", "layers": "1", "usable_bars": "", "headroom_percent": "2.5", "filled_to": "35 mm",
}  # fmt: skip


class TestCaseC34:
    """One mold, several fill plans: the box is kept once, each way to fill it beside it."""

    def test_case_c34_another_way_to_fill_a_box_is_kept_with_it(self, owner_client: Client, owner: User):
        box = loaf(by=owner)
        begun = owner_client.get(reverse(NEW), {"box": box.pk, "kind": "slab"}).content.decode()
        assert f'value="{box.length_mm.normalize():f} mm"' in begun
        assert 'name="owned"' not in begun
        response = owner_client.post(reverse(NEW), SLAB | {"box": str(box.pk)})
        way = Mold.objects.get(name="Tall loaf, poured flat")
        assert response.headers["Location"] == way.get_absolute_url()
        # Worked by hand: 35 of 70 mm leaves half of the height empty.
        assert (way.box, way.box_name, way.owned, way.headroom_percent) == (box, box.name, box.owned, Decimal(50))
        for page in (way, box):
            told = text_of(owner_client.get(page.get_absolute_url()))
            assert "Ways to fill it" in told
            assert "64 × 89 × 35 mm" in told  # 254 / 4 × 89 × 35, worked by hand

    def test_case_c34_each_way_says_what_it_takes_of_a_formula(self, owner_client: Client, owner: User):
        box, revision = loaf(by=owner), draft_formula(by=owner)
        owner_client.post(reverse(NEW), SLAB | {"box": str(box.pk)})
        response = owner_client.get(box.get_absolute_url(), {"formula": revision.formula_id})
        plain, flat = response.context["fillings"]
        # Worked by hand: 50 % of the height against 97.5 %.
        assert round(flat.plan.oils_grams / plain.plan.oils_grams, 6) == round(Decimal(50) / Decimal("97.5"), 6)

    def test_case_c34_a_box_is_counted_once_however_it_is_filled(self, owner_client: Client, owner: User):
        box = loaf(by=owner)
        owner_client.post(reverse(NEW), SLAB | {"box": str(box.pk)})
        url = reverse("formulas:mold-edit", args=[box.pk])
        owner_client.post(url, LOAF | {"owned": "5", "usable_bars": "9"})
        assert set(Mold.objects.values_list("owned", flat=True)) == {5}

    @pytest.mark.parametrize("filled", ("0", "71 mm"))
    def test_a_fill_that_the_box_does_not_have(self, owner_client: Client, filled: str):
        response = owner_client.post(reverse(NEW), SLAB | {"owned": "1", "filled_to": filled})
        assert "The batter stands above 0 and no higher than the mold." in text_of(response)


def test_case_c29_the_rule_of_the_trade_stands_beside_the_reckoned_figure(owner_client: Client, owner: User):
    """case-C29: makers reckon 0.40 oz of oils for a cubic inch; the page says what this formula takes."""
    mold, revision = loaf(by=owner), draft_formula(by=owner)
    response = owner_client.get(mold.get_absolute_url(), {"formula": revision.formula_id})
    assert Decimal("0.35") < response.context["fill"].oz_per_cubic_inch < Decimal("0.44")
    assert "by the density of what is in it" in text_of(response)
