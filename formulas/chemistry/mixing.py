"""From a formula to what goes in the pot: grams of alkali, stock solution, water and other liquids.

The liquid rule is applied to the alkali for the weighed-out fats and the additives. Alkali for the fat or acid that a
liquid itself brings comes on top and asks for no further liquid, so a milk amount is fixed once and not chased round.
"""

from dataclasses import dataclass, replace
from decimal import Decimal

from formulas.chemistry.alkali import (
    AlkaliEater,
    eaters_among,
    fat_mol,
    total_mol,
    weighed_grams,
    with_weights,
)
from formulas.chemistry.constants import PLAIN_WATER_FRACTION, PLAIN_WATER_NAMES
from formulas.chemistry.records import Additive, Alkali, Fat, FormulaSpec, Liquid, LiquidRule, StockSolution

ZERO = Decimal(0)
ONE = Decimal(1)
PLAIN_WATER = Liquid("Water")
ROUNDS = 40  # each round shrinks what is left at least fivefold


@dataclass(frozen=True)
class Mix:
    """Everything in the pot, with grams."""

    own_fats: tuple[Fat, ...]  # weighed out, with the fat that additives bring
    liquid_fats: tuple[Fat, ...]
    alkalis: tuple[Alkali, ...]
    poured: tuple[tuple[Liquid, Decimal], ...]
    additives: tuple[Additive, ...]
    stock_grams: Decimal
    stock_water_grams: Decimal
    water_wanted_grams: Decimal
    liquids_cut_short: bool = False  # the stock solution left too little room for the liquids' shares

    @property
    def fats(self) -> tuple[Fat, ...]:
        return self.own_fats + self.liquid_fats

    @property
    def eaters(self) -> tuple[AlkaliEater, ...]:
        return eaters_among((*self.additives, *self.poured))

    @property
    def plain_water_grams(self) -> Decimal:
        return sum((grams for liquid, grams in self.poured if is_plain_water(liquid)), ZERO)

    @property
    def water_for_lye_grams(self) -> Decimal:
        """Water from the stock solution and from every liquid."""
        poured = sum((grams * water_fraction(liquid) for liquid, grams in self.poured), ZERO)
        return self.stock_water_grams + poured


def is_plain_water(liquid: Liquid) -> bool:
    """Whether a liquid is water by name and make-up; aloe juice entered as all water is still aloe juice."""
    is_all_water = liquid.water_fraction >= PLAIN_WATER_FRACTION and not liquid.fat_fraction
    return is_all_water and liquid.name.strip().lower() in PLAIN_WATER_NAMES


def water_fraction(liquid: Liquid) -> Decimal:
    return ONE if is_plain_water(liquid) else liquid.water_fraction


def fat_in(source: Liquid | Additive, grams: Decimal) -> Fat | None:
    """Return the fat that a liquid or an additive brings along, as a fat of its own."""
    if not source.fat_fraction or source.fat_sap_koh_mg_per_g is None or not grams:
        return None
    fat = Fat(f"fat in {source.name}", grams * source.fat_fraction, source.fat_sap_koh_mg_per_g)
    if isinstance(source, Liquid):
        return fat
    return replace(fat, acid_value=source.fat_acid_value, gives_glycerol=source.fat_gives_glycerol)


def water_wanted(rule: LiquidRule, *, alkali_grams: Decimal, oils_grams: Decimal) -> Decimal:
    """Return the grams of water that the rule asks for, alkali as weighed."""
    if rule.basis == "lye_concentration":
        return alkali_grams * (100 - rule.value) / rule.value
    if rule.basis == "liquid_to_lye":
        return alkali_grams * rule.value
    return oils_grams * rule.value / 100


def mix_formula(spec: FormulaSpec) -> Mix:
    """Return the whole pot of a formula that has passed the gates."""
    from_additives = tuple(fat for a in spec.additives if (fat := fat_in(a, a.grams)) is not None)
    own_fats = spec.fats + from_additives
    alkalis = _alkalis(spec, own_fats, eaters_among(spec.additives))
    wanted = water_wanted(
        spec.liquid_rule,
        alkali_grams=weighed_grams(alkalis),
        oils_grams=sum((fat.grams for fat in spec.fats), ZERO),
    )
    poured: tuple[tuple[Liquid, Decimal], ...] = ()
    liquid_fats: tuple[Fat, ...] = ()
    cut_short = False
    for _ in range(ROUNDS if spec.stock_solution else 1):
        in_stock = stock_water_grams(spec.stock_solution, alkalis)
        before = poured
        poured, cut_short = pour(spec.liquids, wanted=wanted, in_stock=in_stock)
        if poured == before:
            break
        liquid_fats = tuple(fat for liquid, grams in poured if (fat := fat_in(liquid, grams)) is not None)
        alkalis = _alkalis(spec, own_fats + liquid_fats, eaters_among((*spec.additives, *poured)))
    return Mix(
        own_fats=own_fats,
        liquid_fats=liquid_fats,
        alkalis=alkalis,
        poured=poured,
        additives=spec.additives,
        stock_grams=stock_solution_grams(spec.stock_solution, alkalis),
        stock_water_grams=stock_water_grams(spec.stock_solution, alkalis),
        water_wanted_grams=wanted,
        liquids_cut_short=cut_short,
    )


def _alkalis(spec: FormulaSpec, fats: tuple[Fat, ...], eaters: tuple[AlkaliEater, ...]) -> tuple[Alkali, ...]:
    if spec.superfat_fraction is None or any(alkali.grams is not None for alkali in spec.alkalis):
        return spec.alkalis
    for_fats = fat_mol(fats).plan * (1 - spec.superfat_fraction)
    return with_weights(spec.alkalis, for_fats_mol=for_fats, for_acids_mol=total_mol(eaters))


def pour(
    liquids: tuple[Liquid, ...], *, wanted: Decimal, in_stock: Decimal
) -> tuple[tuple[tuple[Liquid, Decimal], ...], bool]:
    """Return the grams of each liquid, and whether the stock solution left too little room for their shares.

    A stock solution stands in for plain water first, so milk that is half of the liquid stays half of it.
    """
    liquids = liquids or (PLAIN_WATER,)
    others = sum((liquid.share_fraction for liquid in liquids if not is_plain_water(liquid)), ZERO)
    plain = sum((liquid.share_fraction for liquid in liquids if is_plain_water(liquid)), ZERO)
    room = max(wanted - in_stock, ZERO)
    is_cut_short = bool(others) and in_stock > 0 and others * wanted > room
    water_of_others = min(others * wanted, room)
    if not plain:
        water_of_others = room
    poured = []
    for liquid in liquids:
        if is_plain_water(liquid):
            water = (room - water_of_others) * liquid.share_fraction / plain if plain else ZERO
        else:
            water = water_of_others * liquid.share_fraction / others if others else ZERO
        poured.append((liquid, water / water_fraction(liquid)))
    return tuple(poured), is_cut_short


def stock_solution_grams(stock: StockSolution | None, alkalis: tuple[Alkali, ...]) -> Decimal:
    """Return the grams of stock solution that hold all the alkali of its kind."""
    if stock is None:
        return ZERO
    return weighed_grams(alkalis, stock.kind) / stock.strength_fraction


def stock_water_grams(stock: StockSolution | None, alkalis: tuple[Alkali, ...]) -> Decimal:
    if stock is None:
        return ZERO
    return stock_solution_grams(stock, alkalis) - weighed_grams(alkalis, stock.kind)
