"""The mass balance closes, and neither the order of entry nor small digits change a list."""

from dataclasses import replace
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from formulas.declaration import DeclaredInput, build_declaration
from formulas.label_rules.rulebook import packaged_tables
from tests.formulas.tables.label_batch import (
    CASTOR,
    COCONUT,
    FRAGRANCE,
    KAOLIN,
    LYE,
    MICA,
    OLIVE,
    WATER,
    WHITE,
    label_input,
    names,
)

TABLES = packaged_tables()
# What division leaves behind in 28 digits, for a batch of a few kilograms.
NOTHING = Decimal("1e-20")


def declare(*inputs, **changes):
    return build_declaration(label_input(*inputs, **changes), TABLES)


def test_the_balance_can_be_shown_line_by_line():
    balance = declare(style="as_resulting", market="us_cosmetic").balance
    assert balance.in_grams == Decimal(1476)
    assert [line.what for line in balance.lines_out][-2:] == ["Water", "water dried away"]
    dried = balance.lines_out[-1].grams
    assert round(dried, 6) == Decimal(170)  # 290 g of water less 120 g
    olive = next(line for line in balance.lines_out if line.what == "Sodium Olivate")
    assert olive.working == "471.19 g fat + 63.14 g NaOH − 48.46 g glycerol"


grams = st.decimals(min_value="0.1", max_value="900", places=3, allow_nan=False)


@st.composite
def batches(draw):
    fats = [replace(base, grams=draw(grams)) for base in (OLIVE, COCONUT, CASTOR)]
    need = sum(f.grams * f.sap_koh_mg_per_g / 1000 / Decimal("1.40274") for f in fats)
    purity = draw(st.decimals(min_value="0.85", max_value="1", places=3))
    lye_grams = round(need * draw(st.decimals(min_value="0.5", max_value="0.99", places=3)), 3)
    lye = replace(LYE, grams=lye_grams, purity_fraction=purity)
    acid = DeclaredInput("Acid", draw(grams) / 100, "acid", names("Acid", sodium="Salt"),
                         alkali_demand_g_naoh_per_g=Decimal("0.62455"))  # fmt: skip
    others = [replace(base, grams=draw(grams) / 20) for base in (FRAGRANCE, KAOLIN, WHITE, MICA)]
    return (*fats, lye, replace(WATER, grams=draw(grams)), acid, *others)


@settings(max_examples=60, deadline=None)
@given(batches(), st.sampled_from(("as_added", "as_resulting")))
def test_the_mass_balance_closes(inputs, style):
    declaration = declare(*inputs, style=style, cured_mass_grams=None, lowest_cured_mass_grams=None)
    assert abs(declaration.balance.residual_grams) < NOTHING
    assert declaration.balance.in_grams == sum(given.grams for given in inputs)


@settings(max_examples=60, deadline=None)
@given(batches().flatmap(lambda batch: st.tuples(st.just(batch), st.permutations(batch))),
       st.sampled_from(("as_added", "as_resulting")), st.sampled_from(("us_soap", "eu", "ca")))  # fmt: skip
def test_the_order_of_entry_changes_nothing(pair, style, market):
    first, second = (
        declare(*inputs, style=style, market=market, cured_mass_grams=None, lowest_cured_mass_grams=None)
        for inputs in pair
    )
    assert first == second


@settings(max_examples=60, deadline=None)
@given(batches(), st.sampled_from(("as_added", "as_resulting")))
def test_everything_over_one_percent_falls(inputs, style):
    entries = declare(*inputs, style=style, cured_mass_grams=None, lowest_cured_mass_grams=None).entries
    main = [entry.grams for entry in entries if entry.group == "main"]
    assert main == sorted(main, reverse=True)
    ranks = [("main", "low", "allergen", "color").index(entry.group) for entry in entries]
    assert ranks == sorted(ranks)
