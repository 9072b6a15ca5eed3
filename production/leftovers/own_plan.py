"""The frozen plan of a batch that is made of own soap: a rebatch, or a mold filled from other pots. No Django."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from formulas.chemistry.results import SuperfatInterval
from production.batches.asked import BatchRefusal
from production.batches.contents import together, water_fraction
from production.batches.frozen import (
    FrozenContent,
    FrozenContents,
    FrozenFinish,
    FrozenMaterial,
    FrozenPlan,
    FrozenPortion,
    FrozenSuperfat,
)
from production.batches.pot import InPot, fill_pot, pot_superfat

ZERO, WHOLE, HUNDRED = Decimal(0), Decimal(1), Decimal(100)
MILLIGRAM, FOUR_PLACES = Decimal("0.001"), Decimal("0.0001")
SCENTS = ("fragrance", "essential_oil")
SCRAPS, BATTER = "scraps", "batter"


@dataclass(frozen=True)
class OwnAsk:
    """What is to be made: the soap that goes in, what is added to it, and how it shall look and cure."""

    made_of: str
    product: str
    identity: str
    sources: str  # in words: "B26-001 and B26-004"
    mold_name: str
    mold_count: int
    bars: int
    cure_days: int
    least_cure_days: int
    soaps: tuple[FrozenContents, ...]
    additions: tuple[FrozenContent, ...] = ()


def own_plan(base: FrozenPlan, ask: OwnAsk, *, superfat_floor_percent: Decimal) -> FrozenPlan:
    """Return the plan; whatever its parents hold is in it. ``base`` is the plan of the pot most of it came of."""
    whole = together((*ask.soaps, FrozenContents(ask.additions)))
    grams = whole.grams
    interval = _superfat(whole)
    water = sum((item.grams * water_fraction(item.material) for item in whole.items), ZERO)
    is_rebatch = ask.made_of == SCRAPS
    return replace(
        base,
        product=ask.product,
        identity=ask.identity,
        formula_name=f"{'Rebatch of' if is_rebatch else 'Batter of'} {ask.sources}",
        approved_on=None if is_rebatch else base.approved_on,
        mold_name=ask.mold_name,
        mold_count=ask.mold_count,
        bars=ask.bars,
        oils_grams=sum((item.grams for item in whole.items if item.material.kind == "fat"), ZERO).quantize(MILLIGRAM),
        batter_grams=grams.quantize(MILLIGRAM),
        water_grams=water.quantize(MILLIGRAM),
        water_percent_of_batch=(HUNDRED * water / grams).quantize(FOUR_PLACES),
        superfat=_frozen(interval),
        superfat_floor_percent=superfat_floor_percent,
        cure_days=ask.cure_days,
        least_cure_days=ask.least_cure_days,
        gels=base.gels and not is_rebatch,
        process_note="",
        materials=_materials(whole),
        portions=(_one_jug(base, grams),),
        parts=() if is_rebatch else base.parts,
        finishes=_finishes(base, ask),
        route=(),
        made_of=ask.made_of,
    )


def judge_scents(ask: OwnAsk) -> None:
    """Refuse more of a scent than its certificate allows: what is in the soap already and what is added, together.

    The share is taken on the soap without its water, the least it can ever weigh.
    """
    whole = together((*ask.soaps, FrozenContents(ask.additions)))
    dry = sum((item.grams * (1 - water_fraction(item.material)) for item in whole.items), ZERO)
    found: dict[str, tuple[Decimal, Decimal | None]] = {}
    for item in whole.items:
        if item.material.kind in SCENTS:
            grams = found.get(item.material.name, (ZERO, None))[0] + item.grams
            found[item.material.name] = (grams, item.material.scent_limit_percent)
    for name, (grams, limit) in found.items():
        percent = HUNDRED * grams / dry if dry else ZERO
        if limit is not None and percent > limit:
            raise BatchRefusal(
                f"{name} would be {percent:.2f} % of the dry soap, with what is in the soap already; its certificate "
                f"allows {limit.normalize():f} %. Add less of it, or more soap without it."
            )


def _superfat(whole: FrozenContents) -> SuperfatInterval:
    pot = fill_pot(
        tuple(
            InPot(item.material, item.grams, item.has_sap_certificate, item.has_purity_certificate)
            for item in whole.items
        )
    )
    interval = pot_superfat(pot)
    if interval is None:
        missing = f" because figures are missing for {', '.join(pot.unknown[:3])}" if pot.unknown else ""
        raise BatchRefusal(
            f"The superfat of this soap cannot be computed{missing}. Complete the figures of its materials first."
        )
    return interval


def _frozen(interval: SuperfatInterval) -> FrozenSuperfat:
    def fine(figure: Decimal) -> Decimal:
        return figure.quantize(FOUR_PLACES)

    return FrozenSuperfat(
        planned=fine(interval.planned),
        lowest=fine(interval.lowest),
        highest=fine(interval.highest),
        smallest_safe_plan=fine(interval.smallest_safe_plan),
        standard_deviation=fine(interval.standard_deviation),
        main_cause=interval.causes[0][0] if interval.causes else "",
    )


def _materials(whole: FrozenContents) -> tuple[FrozenMaterial, ...]:
    """Return each material once; the label asks its names and its scent limit of them."""
    found: dict[int, FrozenMaterial] = {}
    for item in whole.items:
        found.setdefault(item.material.material_id, item.material)
    return tuple(found.values())


def _one_jug(base: FrozenPlan, grams: Decimal) -> FrozenPortion:
    color = base.portions[0].color_hex if base.portions else "#e8dfc8"
    return FrozenPortion(
        letter="A",
        name="All of it",
        row=1,
        position=1,
        height_share=WHOLE,
        width_share=WHOLE,
        color_hex=color,
        grams=grams.quantize(MILLIGRAM),
        oils_grams=ZERO,
        is_scented=True,
        trace="thick",
        pour_order=1,
    )


def _finishes(base: FrozenPlan, ask: OwnAsk) -> tuple[FrozenFinish, ...]:
    """Bars come out plain; from another mold of the same design some may get its parts, as counted at the cut."""
    plain = FrozenFinish(key="plain", label="Plain", part_keys=(), bars=ask.bars)
    if ask.made_of == SCRAPS:
        return (plain,)
    return (plain, *(replace(finish, bars=0) for finish in base.finishes if finish.key != "plain"))


def source_words(numbers: Iterable[str]) -> str:
    """Return the batches in words, as far as they fit a heading."""
    listed = list(dict.fromkeys(numbers))
    if len(listed) > 3:
        return f"{', '.join(listed[:3])} and {len(listed) - 3} more"
    return " and ".join(filter(None, (", ".join(listed[:-1]), listed[-1])))
