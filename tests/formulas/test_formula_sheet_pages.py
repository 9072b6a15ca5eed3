"""What the formula page shows beside the sums: limits, alkalis, ready solution, scales, other superfats, comparison."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from formulas.actions.materials import create_material, save_material
from formulas.actions.revisions import FormulaRefusal, LineDraft, approve_revision, revise_formula, save_draft
from formulas.models import FormulaRevision, Material
from soapshop.models import User, Workshop
from tests.formulas.builders import draft_formula, reference_lines
from tests.formulas.test_formula_views import OILS, text_of, typed

pytestmark = pytest.mark.django_db


def scent(by: User, limit: str | None, name: str = "Fern") -> Material:
    figures = {"name": name, "scent_limit_percent": None if limit is None else Decimal(limit)}
    return create_material(kind="fragrance", figures=figures, by=by)


def scented(by: User, limit: str | None, percent: str = "3") -> FormulaRevision:
    lines = [*reference_lines(by=by), LineDraft(scent(by, limit), "trace", Decimal(percent))]
    return draft_formula(by=by, lines=lines, superfat_percent=Decimal(6))


def approve(revision: FormulaRevision, by: User, reason: str = "Tried at the bench.") -> FormulaRevision:
    return approve_revision(revision_id=revision.pk, override_reason=reason, by=by)


# ── Scent limits and approval ────────────────────────────────────────────────────────────────────────────────────────
def test_case_c44_no_limit_on_file_stops_approval_whatever_the_owner_writes(owner: User):
    draft = scented(owner, None)
    with pytest.raises(FormulaRefusal, match="No limit on the finished bar is on file for Fern"):
        approve(draft, owner)
    draft.refresh_from_db()
    assert draft.is_draft


def test_with_the_certificate_value_the_same_draft_is_approved(owner: User):
    draft = scented(owner, None)
    save_material(
        material_id=Material.objects.get(name="Fern").pk, figures={"scent_limit_percent": Decimal(4)}, by=owner
    )
    assert approve(draft, owner).is_approved


def test_over_the_limit_is_refused_with_the_most_that_may_be_used(owner: User):
    with pytest.raises(FormulaRefusal, match=r"Use at most [\d.]+ % of the oils"):
        approve(scented(owner, "2"), owner)


def test_a_dose_above_its_usual_range_needs_a_reason(owner: User):
    usual = {"dose_low_percent": Decimal(1), "dose_high_percent": Decimal(2), "dose_basis": "oils"}
    clay = create_material(kind="botanical", figures={"name": "Ground oats", **usual}, by=owner)
    lines = [*reference_lines(by=owner), LineDraft(clay, "trace", Decimal(3))]
    draft = draft_formula(by=owner, lines=lines, superfat_percent=Decimal(6))
    with pytest.raises(FormulaRefusal, match="Ground oats: 3 % of oils is more than the usual 2 %"):
        approve(draft, owner, reason="")
    assert approve(draft, owner, reason="Grandmother's measure, tried twice.").override_reason


def test_the_page_shows_the_scent_on_oils_batter_and_dried_bar(owner_client: Client, owner: User):
    page = text_of(owner_client.get(scented(owner, "4").get_absolute_url()))
    assert "Fern 3.00 % 2." in page
    assert "at most" in page
    unknown = text_of(owner_client.get(draft_formula("Plain", by=owner, lines=unscented(owner)).get_absolute_url()))
    assert "Scents and additives" not in unknown


def unscented(owner: User) -> list[LineDraft]:
    lines = FormulaRevision.objects.first().lines.exclude(material__kind="fragrance")
    return [LineDraft(line.material, line.stage, line.percent) for line in lines]


def test_the_form_shows_an_unknown_limit_while_it_is_typed(owner_client: Client, owner: User):
    reference_lines(by=owner)
    scent(owner, None)
    data = typed(OILS | {"extras": [("Fern", "3", "trace")]})
    del data["save"]
    page = text_of(owner_client.post(reverse("formulas:formula-new"), data, headers={"HX-Request": "true"}))
    assert "No limit on the finished bar is on file for Fern. Unknown is not unlimited." in page


# ── Lye ──────────────────────────────────────────────────────────────────────────────────────────────────────────────
def test_two_alkalis_are_shown_by_share_of_fat_and_by_weight(owner_client: Client, owner: User):
    lines = reference_lines(by=owner)
    purity = {"purity_low_percent": 90, "purity_percent": 90, "purity_high_percent": 90}
    koh = create_material(kind="alkali", figures={"name": "Potash", "alkali_kind": "KOH", **purity}, by=owner)
    lines[3] = LineDraft(lines[3].material, "alkali", Decimal(90))
    draft = draft_formula(by=owner, lines=[*lines, LineDraft(koh, "alkali", Decimal(10))])
    page = text_of(owner_client.get(draft.get_absolute_url()))
    # The worked formula with 90/10 by share of the fat, computed apart from this app: 132.726 and 22.526 g.
    assert "NaOH 90 % 132.726 g" in page
    assert "KOH 10 % 22.526 g" in page


def test_a_ready_solution_is_drawn_with_its_water_and_the_sum_closes(owner_client: Client, owner: User):
    draft = draft_formula(by=owner, stock_strength_percent=Decimal(50))
    response = owner_client.get(draft.get_absolute_url())
    page, result = text_of(response), response.context["page"].result
    # By hand: 147.474 g at 50 % is 294.95 g of solution, half of it water; 299.416 − 147.474 = 151.942 g to add.
    assert round(result.stock_solution_grams, 2) == Decimal("294.95")
    assert round(result.water_grams, 2) == Decimal("151.94")
    assert "Ready solution to draw 294.94" in page
    assert "All lines added up equals the batch" in page


def test_case_c03_the_strength_of_a_solution_follows_from_three_weighings(owner_client: Client, owner: User):
    reference_lines(by=owner)
    # 500 g of lye and 1,000 g of water, 12 g steamed off: 500 / 1488 is 33.602 %. The jug weighs 120 g.
    weights = {"stock_lye": "500 g", "stock_empty": "120 g", "stock_full": "1608 g"}
    owner_client.post(reverse("formulas:formula-new"), typed(OILS, liquid_value="30", **weights))
    assert FormulaRevision.objects.get().stock_strength_percent == Decimal("33.602")


@pytest.mark.parametrize(
    ("weights", "sentence"),
    (
        ({"stock_lye": "500 g"}, "The true strength needs all three weights. Type the missing one."),
        (
            {"stock_lye": "500 g", "stock_empty": "120 g", "stock_full": "600 g"},
            "The cooled solution must weigh more than the lye in it. Check the three weights.",
        ),
        (
            {"stock_lye": "a lot", "stock_empty": "120 g", "stock_full": "600 g"},
            "“a lot” cannot be read as a weight. Type it like this: 12.5 g or 1 lb 4 oz.",
        ),
        (
            {"stock_lye": "500 fl oz", "stock_empty": "120 g", "stock_full": "1608 g"},
            "fl oz",
        ),
    ),
)
def test_weighings_that_cannot_be_true_are_refused_and_kept(owner_client: Client, owner: User, weights, sentence):
    reference_lines(by=owner)
    response = owner_client.post(reverse("formulas:formula-new"), typed(OILS, **weights))
    assert sentence in text_of(response)
    assert f'value="{weights["stock_lye"]}"' in response.content.decode()
    assert not FormulaRevision.objects.exists()


def test_a_purity_range_alone_is_planned_on_its_upper_end(owner_client: Client):
    url = reverse("formulas:material-new") + "?kind=alkali"
    entry = {"name": "Flakes", "alkali_kind": "KOH", "purity_low_percent": "90", "purity_high_percent": "100"}
    owner_client.post(url, entry | {"kind": "alkali"})
    assert Material.objects.get(name="Flakes").purity_percent == Decimal(100)  # case C05


# ── Superfat, scales, size ───────────────────────────────────────────────────────────────────────────────────────────
def test_the_main_cause_of_the_spread_is_named_with_its_way_out(owner_client: Client, owner: User):
    page = text_of(owner_client.get(draft_formula(by=owner).get_absolute_url()))
    assert "The SAP of Palm oil makes" in page
    assert "Enter the certificate SAP of the lot of Palm oil, or plan at least 4.4 % superfat." in page


def test_another_superfat_is_shown_by_both_ways(owner_client: Client, owner: User):
    url = draft_formula(by=owner).get_absolute_url()
    page = text_of(owner_client.get(url, {"superfat": "8 %", "oils": "2 kg"}))
    # By hand: 294.947 g × 0.92 / 0.95 = 285.633 g; 2,000 g × 0.95 / 0.92 is 65.2 g more, 26.1 of them olive.
    assert "NaOH 285.633 g instead of 294.947 g" in page or "NaOH 285.633 g instead of 294.948 g" in page
    assert "Olive oil 826.1 g (+ 26.1 g )" in page


@pytest.mark.parametrize("entry", ("much", "0", "-3", "99", "9" * 40))
def test_a_superfat_that_cannot_be_is_said(owner_client: Client, owner: User, entry: str):
    response = owner_client.get(draft_formula(by=owner).get_absolute_url(), {"superfat": entry})
    assert response.status_code == 200
    assert response.context["page"].pot.other.refusal
    assert f'value="{entry}"' in response.content.decode()


def test_the_scales_of_the_settings_round_the_lye_down(owner_client: Client, owner: User, workshop: Workshop):
    workshop.lye_scale_step_grams = Decimal(5)
    workshop.save()
    page = text_of(owner_client.get(draft_formula(by=owner).get_absolute_url()))
    # By hand: 147.474 g becomes 145 g; 1 − 0.95 × 145 / 147.474 is 6.59 %.
    assert "On your scales: superfat 6.59 %" in page


def test_a_bar_of_a_chosen_moisture(owner_client: Client, owner: User):
    url = draft_formula(by=owner).get_absolute_url()
    size = owner_client.get(url, {"bars": "10", "cured": "100 g", "moisture": "15"}).context["page"].size
    # The worked formula at 15 % moisture loses 6.70 % of its weight.
    assert round(1 - size.cured_grams / size.plan.batter_grams, 4) == Decimal("0.0670")
    assert round(size.cured_bar_grams, 6) == 100
    refused = owner_client.get(url, {"bars": "10", "cured": "100 g", "moisture": "60"})
    assert "A cured bar holds between 0 and 25 % water" in text_of(refused)


def test_a_workshop_that_weighs_in_ounces_reads_ounces(owner_client: Client, owner: User, workshop: Workshop):
    workshop.mass_unit = "oz"
    workshop.save()
    page = text_of(owner_client.get(draft_formula(by=owner).get_absolute_url()))
    assert "5.202 oz" in page  # 147.474 g / 28.349523125
    assert "147.474 g" not in page


def test_fatty_acids_are_told_in_words(owner_client: Client, owner: User):
    lines = reference_lines(by=owner)
    for line, acids in zip(lines[:3], ({"18:1": "100"}, {"12:0": "100"}, {"16:0": "100"}), strict=True):
        save_material(material_id=line.material.pk, figures={"fatty_acids_percent": acids}, by=owner)
    page = text_of(owner_client.get(draft_formula(by=owner, lines=lines).get_absolute_url()))
    assert "Oleic 40.0 % Mild soap, slow to trace" in page
    assert "Lauric and myristic 30.0 %" in page


# ── Comparison ───────────────────────────────────────────────────────────────────────────────────────────────────────
def test_two_revisions_side_by_side_with_scent_and_label(owner_client: Client, owner: User):
    first = approve(scented(owner, "4"), owner)
    second = revise_formula(formula_id=first.formula_id, reason="Less scent", by=owner)
    lines = [LineDraft(line.material, line.stage, line.percent) for line in first.lines.all()]
    lines[-1] = next(line for line in lines if line.material.name == "Olive oil")
    others = [line for line in lines[:-1] if line.material.name not in ("Olive oil", "Fern")]
    fern = Material.objects.get(name="Fern")
    save_draft(
        revision_id=second.pk,
        seen_saves=0,
        figures={"superfat_percent": Decimal(8)},
        lines=[*others, lines[-1], LineDraft(fern, "trace", Decimal(2))],
        by=owner,
    )
    response = owner_client.get(reverse("formulas:revision-compare", args=[first.formula_id, 2, 1]))
    figures = {figure.label: figure for figure in response.context["comparison"].figures}
    fern_figure = figures["Fern, of the dried bar"]
    assert fern_figure.newer < fern_figure.older
    assert figures["NaOH to weigh"].newer < figures["NaOH to weigh"].older
    names = response.context["comparison"].newer_label.split(", ")
    # Falling order of weight: olive first, the scent last; a name that is not on file stands in brackets.
    assert (names[0], names[-1]) == ("[Olive oil]", "Fragrance")
    assert "Ingredient list, as the formula is written" in text_of(response)


# ── A recipe in weights ──────────────────────────────────────────────────────────────────────────────────────────────
def turned(client: Client, oils: list[tuple[str, str]], extras: list[tuple[str, ...]] | None = None):
    data = typed({"oils": oils, "extras": extras or []}) | {"weights": "1"}
    del data["save"]
    return client.post(reverse("formulas:formula-new"), data)


def test_a_recipe_in_ounces_becomes_percent_that_add_up(owner_client: Client, owner: User):
    reference_lines(by=owner)
    scent(owner, "4")
    oils = [("Olive oil", "13.4 oz"), ("Coconut oil", "14.9 oz"), ("Palm oil", "10.4 oz")]
    page = turned(owner_client, oils, [("Fern", "1.2 oz", "trace")])
    percents = [form["percent"].value() for form in page.context["sections"][0]["formset"]][:3]
    # By hand: of 38.7 oz; 13.4 is 34.6253 %, 14.9 is 38.5013 %, 10.4 is 26.8734 %; 1.2 oz of scent is 3.1008 % of it.
    assert percents == ["34.6253", "38.5013", "26.8734"]
    assert page.context["sections"][3]["formset"].forms[0]["percent"].value() == "3.1008"
    assert page.context["page"].result is not None
    assert not FormulaRevision.objects.exists()


@pytest.mark.parametrize(
    ("oils", "sentence"),
    (
        pytest.param([("Olive oil", "2 cups")], "2 cups", id="case-C101: oils by the cup are no weights"),
        ([("Olive oil", "8 fl oz")], "8 fl oz"),
        ([("Olive oil", "some")], "“some” cannot be read as a weight."),
        ([], "There are no weights to turn into percent. Type the oils, such as 400 g or 14.9 oz."),
        ([("Olive oil", "0 g")], "There are no weights to turn into percent."),
    ),
)
def test_what_is_no_weight_is_refused_and_kept(owner_client: Client, owner: User, oils, sentence):
    reference_lines(by=owner)
    response = turned(owner_client, oils)
    assert sentence in response.context["sections"][0]["refusal"]
    for _, entry in oils:
        assert f'value="{entry}"' in response.content.decode()


# ── Likely lowest below zero ─────────────────────────────────────────────────────────────────────────────────────────
def test_a_likely_lowest_below_zero_needs_the_owners_written_reason(owner: User):
    # Worked formula: standard deviation 1.22 points at 5 %; planned 2.2 %, two deviations lower is below zero.
    draft = draft_formula(by=owner, superfat_percent=Decimal("2.2"))
    with pytest.raises(FormulaRefusal, match="Or write down why you approve it all the same"):
        approve(draft, owner, reason=" ")
    assert approve(draft, owner, reason="Certificates on file").override_reason == "Certificates on file"


def test_a_wide_superfat_needs_no_reason(owner: User):
    assert approve(draft_formula(by=owner, superfat_percent=Decimal(10)), owner, reason="").is_approved
