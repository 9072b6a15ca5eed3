"""The pages of designs, through a signed-in client."""

import re
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from formulas.actions.materials import create_material
from formulas.actions.revisions import LineDraft
from formulas.models import Design, RouteStep
from soapshop.models import User
from tests.formulas.builders import colorant, draft_formula, liquid, loaf, reference_lines, seal, striped_design
from tests.formulas.test_formula_views import text_of

pytestmark = pytest.mark.django_db
NEW = "formulas:design-new"


@pytest.fixture
def shelf(owner: User) -> dict[str, str]:
    """What a design needs before it can be drawn, as form entries."""
    colorant("Harbor green", by=owner)
    return {"formula": str(draft_formula(by=owner).formula_id), "mold": str(loaf(by=owner).pk)}


def drawn(shelf: dict[str, str], *layers: tuple[str, list[dict[str, str]]], **more: str) -> dict[str, str]:
    """What a browser sends: each layer with its height and its cells."""
    data = {
        "name": "Harbor stripes", "identity": "Soap", "color_count": "2", "save": "1",
        "layers-TOTAL_FORMS": str(len(layers)), "layers-INITIAL_FORMS": "0",
        "parts-TOTAL_FORMS": "0", "parts-INITIAL_FORMS": "0",
    } | shelf  # fmt: skip
    for place, (height, cells) in enumerate(layers):
        data[f"layers-{place}-height"] = height
        data[f"layers-{place}-cells-TOTAL_FORMS"] = str(len(cells))
        data[f"layers-{place}-cells-INITIAL_FORMS"] = "0"
        for number, cell in enumerate(cells):
            boxes = {"width": "1", "tone": "#e8dfc8", "trace": "light", "is_scented": "on", "is_fresh": "on"} | cell
            data |= {f"layers-{place}-cells-{number}-{box}": entry for box, entry in boxes.items() if entry is not None}
    return data | more


CREAM = ("1", [{"letter": "A", "name": "cream"}])
MOSS = {"letter": "B", "name": "moss", "color_0": "harbor green", "dose_0": "0.6"}


def test_layers_and_cells_become_a_design(owner_client: Client, shelf: dict):
    response = owner_client.post(
        reverse(NEW), drawn(shelf, CREAM, ("2", [MOSS, {"name": "clay", "width": "3", "is_scented": None}]))
    )
    made = Design.objects.for_page().get()
    assert response.headers["Location"] == made.get_absolute_url()
    told = [
        (row.height_share, [(str(cell), cell.width_share, cell.is_scented) for cell in row.portions.all()])
        for row in made.rows.all()
    ]
    assert told == [
        (Decimal(1), [("A cream", Decimal(1), True)]),
        (Decimal(2), [("B moss", Decimal(1), True), ("C clay", Decimal(3), False)]),
    ]


def test_a_letter_alone_pours_the_same_jug_again(owner_client: Client, shelf: dict):
    owner_client.post(reverse(NEW), drawn(shelf, ("1", [MOSS]), ("1", [{"letter": "b", "width": "2"}])))
    first, second = Design.objects.for_page().get().rows.all()
    again = second.portions.get()
    assert (again.letter, again.name, again.width_share) == ("B", "moss", Decimal(2))
    assert [color.percent_of_portion_oils for color in again.colors.all()] == [Decimal("0.6")]
    assert first.portions.get().colors.count() == 1


def test_a_jug_takes_the_color_of_its_colorant_until_one_is_chosen(owner_client: Client, shelf: dict):
    owner_client.post(reverse(NEW), drawn(shelf, ("1", [MOSS, {"name": "rose", "tone": "#aa3344"}])))
    tones = [cell.color_hex for row in Design.objects.get().rows.all() for cell in row.portions.all()]
    assert tones == ["#4f7a4b", "#aa3344"]


@pytest.mark.parametrize(
    ("layer", "sentence"),
    (
        (("", [{"name": "cream"}]), "How high is this layer? Type its parts, such as 1."),
        (("0", [{"name": "cream"}]), "A layer is higher than 0. Type its parts, such as 1."),
        (("tall", [{"name": "cream"}]), "That is not a number. Type one such as 12.5."),
        (("1", [{"name": "cream", "width": "-1"}]), "A cell is wider than 0. Type its parts, such as 1."),
        (("1", [{"letter": "A"}]), "What is in this jug? Name it, such as white or plain."),
        (("1", [{"name": "moss", "color_0": "harbor green"}]), "How much of it?"),
        (("1", [{"name": "moss", "dose_0": "1"}]), "Which color? Name it, or clear its dose."),
        (
            ("1", [{"name": "moss", "color_0": "harbor blue", "dose_0": "1"}]),
            "“harbor blue” is not among your materials. Did you mean Harbor green?",
        ),
        (
            ("1", [{"name": "moss", "color_0": "harbor green", "dose_0": "11"}]),
            "A color dose lies above 0 and at most 10 percent of the oils in the jug.",
        ),
        (("1", [{"name": "cream", "tone": "beige"}]), "Give the color as # and six figures, such as #c9a227."),
        (("1", [{"name": "cream", "pour_order": "first"}]), "That is not a whole number. Type one such as 12."),
        (
            ("1", [MOSS, {"letter": "B", "name": "other"}]),
            "Jug B is drawn in two places with different contents.",
        ),
        (("1", []), "Nothing is drawn yet. Fill in at least one layer with one jug."),
    ),
)
def test_a_drawing_that_cannot_be_poured_is_refused_and_kept(
    owner_client: Client, shelf: dict, layer: tuple, sentence: str
):
    response = owner_client.post(reverse(NEW), drawn(shelf, layer))
    assert response.status_code == 200
    assert sentence in text_of(response)
    assert 'value="Harbor stripes"' in response.content.decode()
    assert not Design.objects.exists()


@pytest.mark.parametrize("broken", ({}, {"save": "1"}, {"save": "1", "layers-TOTAL_FORMS": "x", "color_count": "99"}))
def test_nonsense_is_no_server_error(owner_client: Client, broken: dict):
    assert owner_client.post(reverse(NEW), broken).status_code == 200


def test_more_buttons_add_room_and_keep_what_was_typed(owner_client: Client, shelf: dict):
    for more, box in (
        ("layers", 'name="layers-1-cells-0-name"'),
        ("layers-0-cells", 'name="layers-0-cells-1-name"'),
        ("colors", 'name="layers-0-cells-0-color_2"'),
        ("parts", 'name="parts-0-part"'),
    ):
        data = drawn(shelf, CREAM, more=more)
        del data["save"]
        page = owner_client.post(reverse(NEW), data).content.decode()
        assert box in page
        assert 'value="cream"' in page
    assert not Design.objects.exists()


def test_a_layer_and_a_jug_can_be_taken_out(owner_client: Client, shelf: dict):
    data = drawn(shelf, CREAM, ("1", [MOSS, {"letter": "C", "name": "clay"}]), **{"layers-0-is_out": "on"})
    owner_client.post(reverse(NEW), data | {"layers-1-cells-0-is_out": "on"})
    assert Design.objects.for_page().get().jug_names == ["C clay"]


def test_case_c50_a_liquid_for_one_jug_is_drawn_kept_and_shown(owner_client: Client, owner: User, shelf: dict):
    """case-C50: the jug says how much of it, and what superfat and water it has by then."""
    liquid("Oat milk", by=owner)
    wet = MOSS | {"wet": "oat milk", "wet_percent": "10"}
    owner_client.post(reverse(NEW), drawn(shelf, CREAM, ("2", [wet])))
    design = Design.objects.for_page().get()
    jugs = {jug.letter: jug for row in design.rows.all() for jug in row.portions.all()}
    assert (jugs["B"].wet_liquid.name, jugs["B"].wet_percent) == ("Oat milk", Decimal(10))
    assert jugs["A"].wet_liquid is None
    page = text_of(owner_client.get(design.get_absolute_url()))
    assert "of Oat milk stirred in on top" in page
    edit = owner_client.get(reverse("formulas:design-edit", args=[design.pk])).content.decode()
    assert 'value="Oat milk"' in edit


@pytest.mark.parametrize(
    ("boxes", "sentence"),
    (
        ({"wet": "Oat milk"}, "How much of it? Type a percent of the jug's batter, such as 5."),
        ({"wet_percent": "5"}, "Which liquid? Name it, or clear its percent."),
        ({"wet": "Oat milk", "wet_percent": "60"}, "Stirred in is from 0 to 50 percent of the jug's batter."),
        ({"wet": "Nowhere", "wet_percent": "5"}, "Nowhere"),
    ),
)
def test_a_liquid_that_cannot_be_stirred_in(owner_client: Client, owner: User, shelf: dict, boxes: dict, sentence: str):
    liquid("Oat milk", by=owner)
    response = owner_client.post(reverse(NEW), drawn(shelf, ("2", [MOSS | boxes])))
    assert sentence in text_of(response)
    assert not Design.objects.exists()


def test_the_page_asks_the_same_few_questions_for_one_jug_and_for_four(
    owner_client: Client, owner: User, shelf: dict, django_assert_max_num_queries
):
    used = []
    for number, cells in enumerate(([MOSS], [MOSS, *({"name": f"tone {each}"} for each in "xyz")])):
        owner_client.post(reverse(NEW), drawn(shelf, ("1", cells), name=f"Design {number}"))
        page = Design.objects.get(name=f"Design {number}").get_absolute_url()
        owner_client.get(page)  # the first visit of all makes the house's terms
        with django_assert_max_num_queries(20) as seen:
            owner_client.get(page)
        used.append(len(seen.captured_queries))
    assert used[0] == used[1]


def test_the_drawing_is_shown_while_it_is_typed(owner_client: Client, shelf: dict):
    data = drawn(shelf, CREAM, ("3", [MOSS]))
    del data["save"]
    page = owner_client.post(reverse(NEW), data, headers={"HX-Request": "true"})
    assert "<html" not in page.content.decode()
    assert "<title>Harbor stripes</title>" in page.content.decode()
    # Worked by hand: 1 and 3 of 4 parts.
    assert [share for _, _, share in page.context["preview"].shares] == [Decimal(25), Decimal(75)]
    broken = owner_client.post(reverse(NEW), data | {"layers-0-height": "x"}, headers={"HX-Request": "true"})
    assert "Layer 1, Height, parts: That is not a number. Type one such as 12.5." in text_of(broken)


def test_two_people_cannot_save_over_each_other(owner_client: Client, maker_client: Client, owner: User):
    design = striped_design(by=owner)
    shelf = {"formula": str(design.formula_id), "mold": str(design.mold_id)}
    url = reverse("formulas:design-edit", args=[design.pk])
    first = owner_client.post(url, drawn(shelf, CREAM, name="First", seen_saves="0"))
    second = maker_client.post(url, drawn(shelf, CREAM, name="Second", seen_saves="0"))
    design.refresh_from_db()
    assert (first.status_code, design.name, design.saves) == (302, "First", 1)
    assert "Somebody saved this design after you opened it." in text_of(second)
    assert 'value="Second"' in second.content.decode()


def test_opening_and_saving_changes_nothing(owner_client: Client, owner: User):
    """What the edit page shows is what is kept, a jug poured twice included."""
    design = striped_design(by=owner)
    url = reverse("formulas:design-edit", args=[design.pk])
    data = _opened(owner_client.get(url).content.decode())
    before = _content(design)
    response = owner_client.post(url, data | {"save": "1"})
    assert response.status_code == 302
    assert _content(Design.objects.for_page().get()) == before


def test_a_part_that_must_stay_cool_keeps_the_design_out_of_gel(owner_client: Client, owner: User):
    """case-C55: oven heat melted the toppers; on the page the tick stays and the sentence says the mend."""
    shell = seal("Shell", by=owner)
    shell.forbids_heat, shell.attached_at = True, "pour"
    shell.save(update_fields=["forbids_heat", "attached_at"])
    url = reverse("formulas:design-edit", args=[striped_design(by=owner, parts=(shell,)).pk])
    data = _opened(owner_client.get(url).content.decode()) | {"save": "1"}
    refused = owner_client.post(url, data | {"gels": "on"})
    assert "Shell must stay cool, but it goes on at the pour and this design goes through gel." in text_of(refused)
    assert owner_client.post(url, data).status_code == 302


def _opened(page: str) -> dict[str, str]:
    """Return what an opened form would send back unchanged."""
    data = {}
    for tag in re.findall(r"<(?:input|textarea)[^>]*>", page):
        name, entry = re.search(r'name="([^"]+)"', tag), re.search(r'value="([^"]*)"', tag)
        is_box = 'type="checkbox"' in tag
        if name and (not is_box or "checked" in tag):
            data[name[1]] = "on" if is_box else (entry[1] if entry else "")
    for name, options in re.findall(r'<select name="([^"]+)".*?>(.*?)</select>', page, re.DOTALL):
        chosen = re.search(r'value="([^"]*)" selected', options) or re.search(r'value="([^"]*)"', options)
        data[name] = chosen[1]
    return data


def _content(design: Design) -> list:
    boxes = (
        "letter",
        "name",
        "width_share",
        "color_hex",
        "is_scented",
        "trace",
        "pour_order",
        "accent_percent",
        "note",
    )
    return [
        (
            row.height_share,
            [
                (
                    *(getattr(cell, box) for box in boxes),
                    [(color.material_id, color.percent_of_portion_oils) for color in cell.colors.all()],
                )
                for cell in row.portions.all()
            ],
        )
        for row in design.rows.all()
    ]


# ── The page ─────────────────────────────────────────────────────────────────────────────────────────────────────────
def test_the_page_divides_a_filling_into_jugs(owner_client: Client, owner: User):
    design = striped_design(by=owner)
    filling = owner_client.get(design.get_absolute_url()).context["page"].filling
    # Worked by hand: two of three layers; a quarter and three quarters of the middle one.
    shares = {jug.letter: round(100 * jug.share_fraction, 6) for jug in filling.jugs}
    assert shares == {"A": Decimal("66.666667"), "B": Decimal("8.333333"), "C": Decimal(25)}
    batter = sum(jug.batter_grams for jug in filling.jugs)
    assert abs(batter - filling.plan.batter_grams) < Decimal("0.001")
    moss = next(jug for jug in filling.jugs if jug.letter == "B")
    assert moss.colors[0].grams == (moss.oils_grams * Decimal("0.006")).quantize(Decimal("0.001"))


def test_the_picture_stands_on_the_page_and_in_the_list(owner_client: Client, owner: User):
    design = striped_design(by=owner, parts=(seal(by=owner),))
    for url in (design.get_absolute_url(), reverse("formulas:design-list")):
        page = owner_client.get(url).content.decode()
        assert "<title>Harbor stripes</title>" in page
        assert "Seal Leaf seal on every bar." in page


def test_a_jug_too_small_to_pour_is_said_and_not_an_error(owner_client: Client, shelf: dict):
    sliver = {"letter": "B", "name": "sliver", "width": "0.001"}
    owner_client.post(reverse(NEW), drawn(shelf, ("1", [{"letter": "A", "name": "cream", "width": "100"}, sliver])))
    response = owner_client.get(Design.objects.get().get_absolute_url())
    assert "does not pour. Draw it larger, or make a bigger batch." in text_of(response)


def test_the_list_reads_in_a_fixed_number_of_queries(owner_client: Client, owner: User, django_assert_num_queries):
    formula, mold = draft_formula(by=owner).formula, loaf(by=owner)
    part = seal(by=owner)
    striped_design(by=owner, formula=formula, mold=mold, parts=(part,))
    url = reverse("formulas:design-list")
    with django_assert_num_queries(8):
        owner_client.get(url)
    for name in ("Second", "Third"):
        striped_design(name, by=owner, formula=formula, mold=mold, parts=(part,))
    with django_assert_num_queries(8):
        owner_client.get(url)


def test_an_unknown_design_is_not_found(owner_client: Client):
    for name in ("design", "design-edit", "design-route"):
        assert owner_client.get(reverse(f"formulas:{name}", args=[999])).status_code == 404


# ── The way it is made ───────────────────────────────────────────────────────────────────────────────────────────────
def steps(*rows: dict[str, str], **more: str) -> dict[str, str]:
    data = {"steps-TOTAL_FORMS": str(len(rows)), "steps-INITIAL_FORMS": "0", "save": "1", "seen_saves": "0"}
    for place, row in enumerate(rows):
        data |= {f"steps-{place}-{box}": entry for box, entry in ({"anchor": "pour", "binds": "on"} | row).items()}
    return data | more


POUR = {"key": "pour", "label": "Pour", "least_days": "0", "most_days": "0"}


def test_a_new_design_begins_with_the_usual_route_of_its_parts(owner_client: Client, owner: User):
    plain = [step.key for step in striped_design(by=owner).steps.all()]
    sealed = striped_design(
        "Sealed",
        by=owner,
        formula=Design.objects.get().formula,
        mold=Design.objects.get().mold,
        parts=(seal(by=owner),),
    )
    assert "attach_seals" not in plain
    assert [step.key for step in sealed.steps.all()][:5] == ["gather", "seals", "pour", "cut", "attach_seals"]


def test_a_route_is_changed(owner_client: Client, owner: User):
    design = striped_design(by=owner)
    url = reverse("formulas:design-route", args=[design.pk])
    assert owner_client.get(url).status_code == 200
    cut = {"label": "Cut it", "anchor": "pour", "least_days": "1", "most_days": "2", "minutes_per_bar": "0.5"}
    owner_client.post(url, steps(POUR, cut, {"label": "Sand", "anchor": "cut-it", "least_days": "1", "most_days": ""}))
    told = [(step.key, step.anchor, step.least_days, step.most_days) for step in design.steps.all()]
    assert told == [("pour", "pour", 0, 0), ("cut-it", "pour", 1, 2), ("sand", "cut-it", 1, None)]


@pytest.mark.parametrize(
    ("rows", "sentence"),
    (
        ([{"label": "Cut", "least_days": "1"}], "The pour is missing from the route. Keep one step for it."),
        ([POUR, {"label": "Cut", "least_days": "3", "most_days": "1"}], "A step ends on its first day or later."),
        ([POUR, {"label": "Cut", "least_days": "soon"}], "That is not a whole number. Type one such as 12."),
        ([POUR, {"label": "Cut"}, {"label": "Cut"}], "Two steps have the same name. Give one of them another name."),
        ([POUR, {"label": "Cut", "anchor": "cut"}], "“Cut” is counted from itself."),
        (
            [POUR, {"label": "Cut", "anchor": "bevel"}, {"label": "Bevel", "anchor": "cut"}],
            "waits for a step that waits for it. Count one of them from the pour.",
        ),
        ([POUR, {"label": "Cut", "anchor": "nowhere"}], "That step is not in the route any more."),
    ),
)
def test_a_route_that_cannot_be_followed_is_refused_and_kept(
    owner_client: Client, owner: User, rows: list, sentence: str
):
    design = striped_design(by=owner)
    before = design.steps.count()
    response = owner_client.post(reverse("formulas:design-route", args=[design.pk]), steps(*rows))
    assert sentence in text_of(response)
    assert 'value="Cut"' in response.content.decode()
    assert design.steps.count() == before


def test_a_route_begins_again_with_the_usual_steps(owner_client: Client, owner: User):
    design = striped_design(by=owner)
    owner_client.post(reverse("formulas:design-route", args=[design.pk]), steps(POUR))
    assert RouteStep.objects.count() == 1
    url = reverse("formulas:design-route-usual", args=[design.pk])
    stale = owner_client.post(url, {"seen_saves": "0"}, follow=True)
    assert "Somebody saved this design after you opened it." in text_of(stale)
    owner_client.post(url, {"seen_saves": "1"})
    assert design.steps.filter(key="cut").exists()


def test_a_formula_brings_its_work_ahead_into_the_route(owner_client: Client, owner: User):
    """A fiber that dissolves in the lye overnight, and milk that is frozen first."""
    milk = create_material(
        kind="liquid",
        figures={"name": "Goat milk", "water_percent": Decimal(87), "sugars_percent": Decimal("4.5")},
        by=owner,
    )
    silk = create_material(
        kind="additive", figures={"name": "Silk fiber", "when_added": "dissolved in the hot lye"}, by=owner
    )
    plain = reference_lines(by=owner)
    lines = [*plain[:-1], LineDraft(milk, "liquid", Decimal(100)), LineDraft(silk, "lye", Decimal("0.1"))]
    design = striped_design(by=owner, formula=draft_formula(by=owner, lines=lines).formula)
    keys = [step.key for step in design.steps.all()]
    assert keys[:5] == ["gather", "freeze", "lye_ahead", "strain", "pour"]
    without = striped_design(
        "Plain", by=owner, formula=draft_formula("Plain", by=owner, lines=plain).formula, mold=design.mold
    )
    assert "strain" not in [step.key for step in without.steps.all()]
