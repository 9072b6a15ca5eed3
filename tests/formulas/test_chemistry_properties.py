"""What must hold for any formula whatever: balance, order, scale."""

from dataclasses import replace
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from formulas.chemistry import bench
from formulas.chemistry.compute import compute_formula
from formulas.chemistry.records import (
    Additive,
    Alkali,
    Fat,
    FormulaSpec,
    Liquid,
    LiquidRule,
    Spread,
    StockSolution,
)
from formulas.chemistry.scaling import rounded_shares, scale_spec
from tests.formulas.chemistry_parts import RECIPE_R, superfat_of

TINY = Decimal("1e-9")
BASES = {"lye_concentration": ("28", "40"), "liquid_to_lye": ("1.5", "2.6"), "percent_of_oils": ("26", "38")}


def figures(low: str, high: str, places: int = 3) -> st.SearchStrategy[Decimal]:
    return st.decimals(Decimal(low), Decimal(high), places=places, allow_nan=False, allow_infinity=False)


@st.composite
def fats(draw: st.DrawFn) -> Fat:
    plan, below, above = draw(figures("60", "300")), draw(figures("0", "12")), draw(figures("0", "12"))
    kind = draw(st.sampled_from(("oil", "rancid oil", "wax", "acid")))
    acid_value = {"oil": Decimal(0), "rancid oil": draw(figures("0", "20")), "wax": Decimal(0), "acid": plan}[kind]
    return Fat(
        name=draw(st.sampled_from(("Olive", "Coconut", "Palm", "Shea"))),
        grams=draw(figures("1", "5000")),
        sap_koh_mg_per_g=Spread(plan - below, plan, plan + above),
        acid_value=acid_value,
        gives_glycerol=kind != "wax",
    )


@st.composite
def alkalis(draw: st.DrawFn) -> tuple[Alkali, ...]:
    purities = []
    for _ in range(2):
        low, planned, high = sorted(draw(st.lists(figures("0.85", "1"), min_size=3, max_size=3)))
        purities.append(Spread(low, planned, high))
    share = draw(st.sampled_from(("1", "0.95", "0.5", "0")))
    both = (Alkali("NaOH", Decimal(share), purities[0]), Alkali("KOH", 1 - Decimal(share), purities[1]))
    return tuple(alkali for alkali in both if alkali.share_fraction)


MILK = Liquid(
    "Milk", Decimal(1), Decimal("0.87"), Decimal("0.04"), Spread(Decimal(220), Decimal("226.5"), Decimal(233))
)
VINEGAR = Liquid("Vinegar", Decimal(1), Decimal("0.945"), alkali_demand_g_naoh_per_g=Decimal("0.0333"))
LIQUIDS = (
    (),
    (MILK,),
    (VINEGAR,),
    (replace(MILK, share_fraction=Decimal("0.4")), Liquid("Water", Decimal("0.6"))),
)
ADDITIVES = (
    (),
    (Additive("Citric acid", Decimal(5), Decimal("0.62455")), Additive("Salt", Decimal(8))),
    (Additive("Lactic acid, 80 %", Decimal(4), Decimal("0.35522"), water_fraction=Decimal("0.2")),),
    (Additive("Scent", Decimal(9), is_scent=True, alcohol_fraction=Decimal("0.1")),),
    (
        Additive(
            "Mica in oil", Decimal(6), fat_fraction=Decimal("0.8"), fat_sap_koh_mg_per_g=Spread.exactly(Decimal(190))
        ),
    ),
)


@st.composite
def specs(draw: st.DrawFn) -> FormulaSpec:
    basis = draw(st.sampled_from(sorted(BASES)))
    some = draw(alkalis())
    stock = StockSolution(some[0].kind, Decimal("0.5")) if draw(st.booleans()) else None
    return FormulaSpec(
        name="Any formula",
        superfat_fraction=draw(figures("0.005", "0.2", 4)),
        fats=tuple(draw(st.lists(fats(), min_size=1, max_size=4))),
        alkalis=some,
        liquid_rule=LiquidRule(basis, draw(figures(*BASES[basis], 2))),
        liquids=draw(st.sampled_from(LIQUIDS)),
        additives=draw(st.sampled_from(ADDITIVES)),
        stock_solution=stock,
        weighing_error_fraction=draw(figures("0", "0.02")),
    )


def nearly(one: Decimal, other: Decimal) -> bool:
    return abs(one - other) <= TINY * max(abs(one), Decimal(1))


@given(specs())
@settings(max_examples=150, deadline=None)
def test_the_mass_balance_closes(spec):
    result = compute_formula(spec)
    assert abs(result.mass_balance_residual_grams) <= TINY * result.batch_grams
    if not result.stops:
        assert abs(result.weigh_out_sum_grams - result.batch_grams) <= TINY * result.batch_grams


@given(specs())
@settings(max_examples=100, deadline=None)
def test_the_interval_contains_the_plan(spec):
    interval = superfat_of(compute_formula(spec))
    assert interval.lowest <= interval.likely_lowest <= interval.planned <= interval.likely_highest <= interval.highest
    assert nearly(interval.planned, 100 * spec.superfat_fraction)
    assert not interval.causes or nearly(sum(share for _, share in interval.causes), Decimal(1))


@given(specs(), figures("0.1", "9"), figures("0.1", "9"))
@settings(max_examples=60, deadline=None)
def test_scaling_twice_is_scaling_once(spec, first, second):
    twice = compute_formula(scale_spec(scale_spec(spec, first), second))
    once = compute_formula(scale_spec(spec, first * second))
    assert nearly(twice.batch_grams, once.batch_grams)
    assert nearly(twice.naoh_grams + twice.koh_grams, once.naoh_grams + once.koh_grams)
    assert nearly(superfat_of(twice).lowest, superfat_of(once).lowest)


@given(specs(), figures("0.001", "0.2"))
@settings(max_examples=60, deadline=None)
def test_scaling_changes_masses_and_no_share(spec, factor):
    whole, small = compute_formula(spec), compute_formula(scale_spec(spec, factor))
    assert nearly(small.batch_grams, whole.batch_grams * factor)
    assert nearly(small.water_percent_of_batch, whole.water_percent_of_batch)


@given(specs(), figures("0.0001", "0.2", 4))
@settings(max_examples=60, deadline=None)
def test_more_superfat_never_means_more_lye(spec, more):
    less_lye = compute_formula(replace(spec, superfat_fraction=spec.superfat_fraction + more))
    as_it_was = compute_formula(spec)
    assert less_lye.naoh_grams <= as_it_was.naoh_grams
    assert less_lye.koh_grams <= as_it_was.koh_grams


@given(specs())
@settings(max_examples=60, deadline=None)
def test_the_smallest_safe_plan_is_safe_and_smallest(spec):
    """Without liquids, whose amount would change with the plan."""
    plain = replace(spec, liquids=(), stock_solution=None)
    safe = superfat_of(compute_formula(plain)).smallest_safe_plan
    if not 0 < safe < 50:
        return
    at_safe = superfat_of(compute_formula(replace(plain, superfat_fraction=safe / 100)))
    assert abs(at_safe.lowest) < TINY


@given(specs())
@settings(max_examples=60, deadline=None)
def test_the_three_ways_to_say_liquid_agree(spec):
    """Without liquids that ask for lye of their own, any of the three figures gives the same water back."""
    plain = replace(spec, liquids=(), stock_solution=None)
    result = compute_formula(plain)
    for basis, value in (
        ("lye_concentration", result.lye_concentration_percent),
        ("liquid_to_lye", result.liquid_to_lye),
        ("percent_of_oils", result.liquid_percent_of_oils),
    ):
        again = compute_formula(replace(plain, liquid_rule=LiquidRule(basis, value)))
        assert again.stops or nearly(again.water_grams, result.water_grams)


@given(specs(), figures("0.01", "0.3"))
@settings(max_examples=60, deadline=None)
def test_a_rescue_brings_the_wanted_superfat(spec, wanted):
    weighed = pot = tuple(replace(alkali, grams=Decimal(100)) for alkali in spec.alkalis)
    added = bench.rescue_fats(fats_as_weighed=spec.fats, alkalis_as_weighed=weighed, wanted_superfat_fraction=wanted)
    rescued = tuple(replace(fat, grams=fat.grams + grams) for fat, (_, grams) in zip(spec.fats, added, strict=True))
    interval = bench.superfat_from_actuals(fats_as_weighed=rescued, alkalis_as_weighed=pot)
    assert interval.planned > 100 * wanted or nearly(interval.planned, 100 * wanted)


@given(specs())
@settings(max_examples=60, deadline=None)
def test_what_was_planned_is_what_the_bench_finds(spec):
    """Weighing out exactly what the formula says gives the formula's own superfat."""
    result = compute_formula(spec)
    grams = {"NaOH": result.naoh_grams, "KOH": result.koh_grams}
    interval = bench.superfat_from_actuals(
        fats_as_weighed=spec.fats,
        alkalis_as_weighed=tuple(replace(alkali, grams=grams[alkali.kind]) for alkali in spec.alkalis),
        additives_as_weighed=spec.additives,
        liquids_as_weighed=tuple(
            replace(liquid, grams=mass) for liquid, (_, mass) in zip(spec.liquids, result.liquids, strict=False)
        ),
        weighing_error_fraction=spec.weighing_error_fraction,
    )
    assert nearly(interval.lowest, superfat_of(result).lowest)
    assert nearly(interval.planned, superfat_of(result).planned)


@given(st.lists(figures("0.01", "9999"), min_size=1, max_size=12), st.integers(0, 6), st.sampled_from((1, 100)))
def test_shares_add_up_after_rounding(parts, places, whole):
    shares = rounded_shares(tuple(parts), places=places, whole=Decimal(whole))
    assert sum(shares) == whole
    assert min(shares) >= 0


ODD_FIGURES = st.one_of(
    st.decimals(),
    st.sampled_from([Decimal(text) for text in ("sNaN", "-0", "1e999999", "-1e999999", "1e-999999", "1e-30")]),
)


@given(st.data())
@settings(max_examples=200, deadline=None)
def test_nothing_that_can_be_typed_raises(data):
    """Any Decimal at all, NaN and endless among them, in any place."""
    odd = [data.draw(ODD_FIGURES) for _ in range(8)]
    which = data.draw(st.integers(0, 7))
    first = RECIPE_R.fats[0]
    changes = (
        {"superfat_fraction": odd[0]},
        {"fats": (replace(first, grams=odd[0]),)},
        {"fats": (replace(first, sap_koh_mg_per_g=Spread(*odd[:3])),)},
        {
            "fats": (
                replace(first, iodine_value=odd[0], density_g_per_ml=odd[1], fatty_acids_percent={"C18:1": odd[2]}),
            )
        },
        {"alkalis": (Alkali("NaOH", odd[0], Spread(*odd[1:4]), grams=data.draw(st.sampled_from((None, odd[4])))),)},
        {"liquid_rule": LiquidRule("lye_concentration", odd[0]), "weighing_error_fraction": odd[1]},
        {"liquids": (Liquid("Milk", odd[0], odd[1], odd[2], Spread(*odd[3:6]), odd[6], odd[7]),)},
        {"additives": (Additive("Acid", odd[0], odd[1], odd[2]),), "stock_solution": StockSolution("NaOH", odd[3])},
    )
    assert compute_formula(replace(RECIPE_R, **changes[which])).name == "Recipe R"
