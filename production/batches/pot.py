"""The superfat of what is in the pot, from what was weighed and what is still only planned. No Django."""

from dataclasses import dataclass
from decimal import Decimal

from formulas.chemistry.bench import rescue_fats, superfat_from_actuals
from formulas.chemistry.records import Additive, Alkali, Fat, Liquid, Spread
from formulas.chemistry.results import SuperfatInterval
from production.batches.frozen import FrozenMaterial

HUNDRED = Decimal(100)
ZERO, ONE = Decimal(0), Decimal(1)


@dataclass(frozen=True)
class InPot:
    """So many grams of one material in the pot."""

    material: FrozenMaterial
    grams: Decimal
    has_sap_certificate: bool = False
    has_purity_certificate: bool = False


@dataclass(frozen=True)
class Pot:
    """What is in the pot, sorted by what it does there. ``unknown`` names what cannot be reckoned with."""

    fats: tuple[Fat, ...]
    alkalis: tuple[Alkali, ...]
    liquids: tuple[Liquid, ...]
    additives: tuple[Additive, ...]
    unknown: tuple[str, ...] = ()

    @property
    def can_be_reckoned(self) -> bool:
        """A pot without any fat or without any lye has no superfat to speak of."""
        has_fat = any(fat.grams and fat.grams > 0 for fat in self.fats)
        has_lye = any(alkali.grams and alkali.grams > 0 for alkali in self.alkalis)
        return has_fat and has_lye and not self.unknown


def fill_pot(inputs: tuple[InPot, ...]) -> Pot:
    """Sort what went in. Several weighings of one material stay apart; the sums do not care."""
    fats, alkalis, liquids, additives, unknown = [], [], [], [], []
    for item in inputs:
        material, grams = item.material, item.grams
        if material.kind == "fat":
            if material.sap_plan is None:
                unknown.append(material.name)
                continue
            fats.append(_fat(item))
        elif material.kind == "alkali":
            alkalis.append(_alkali(item))
        elif material.kind == "liquid":
            liquids.append(_liquid(material, grams))
        else:
            if material.kind == "acid" and material.alkali_demand_g_naoh_per_g is None:
                unknown.append(material.name)
            additives.append(
                Additive(
                    name=material.name,
                    grams=grams,
                    alkali_demand_g_naoh_per_g=material.alkali_demand_g_naoh_per_g or ZERO,
                    water_fraction=(material.water_percent or ZERO) / HUNDRED,
                    is_scent=material.kind in ("fragrance", "essential_oil"),
                )
            )
    return Pot(tuple(fats), tuple(alkalis), tuple(liquids), tuple(additives), tuple(unknown))


def pot_superfat(pot: Pot) -> SuperfatInterval | None:
    """Return the superfat of the pot as an interval, or None when it cannot be computed."""
    if not pot.can_be_reckoned:
        return None
    return superfat_from_actuals(
        fats_as_weighed=pot.fats,
        alkalis_as_weighed=pot.alkalis,
        additives_as_weighed=pot.additives,
        liquids_as_weighed=pot.liquids,
    )


def rescue(pot: Pot, *, wanted_superfat_percent: Decimal) -> tuple[tuple[str, Decimal], ...]:
    """Return the grams of each fat to add, in the shares in the pot, to reach the wanted superfat."""
    if not pot.can_be_reckoned:
        return ()
    found: dict[str, Decimal] = {}
    for name, grams in rescue_fats(
        fats_as_weighed=pot.fats,
        alkalis_as_weighed=pot.alkalis,
        additives_as_weighed=pot.additives,
        liquids_as_weighed=pot.liquids,
        wanted_superfat_fraction=wanted_superfat_percent / HUNDRED,
    ):
        found[name] = found.get(name, Decimal(0)) + grams
    return tuple(found.items())


def _fat(item: InPot) -> Fat:
    material = item.material
    plan = material.sap_plan or ZERO
    return Fat(
        name=material.name,
        grams=item.grams,
        sap_koh_mg_per_g=Spread(material.sap_low or plan, plan, material.sap_high or plan),
        gives_glycerol=material.gives_glycerol,
        sap_is_certificate=item.has_sap_certificate,
    )


def _alkali(item: InPot) -> Alkali:
    material = item.material
    high = material.purity_high_percent or material.purity_percent or HUNDRED
    plan = material.purity_percent or high
    low = material.purity_low_percent or plan
    return Alkali(
        kind="KOH" if material.alkali_kind == "KOH" else "NaOH",
        purity_fraction=Spread(low / HUNDRED, plan / HUNDRED, high / HUNDRED),
        purity_is_certificate=item.has_purity_certificate,
        grams=item.grams,
    )


def _liquid(material: FrozenMaterial, grams: Decimal) -> Liquid:
    low, high = material.fat_sap_low, material.fat_sap_high
    return Liquid(
        name=material.name,
        water_fraction=ONE if material.water_percent is None else material.water_percent / HUNDRED,
        fat_fraction=(material.fat_percent or ZERO) / HUNDRED,
        fat_sap_koh_mg_per_g=None if low is None or high is None else Spread.between(low, high),
        alkali_demand_g_naoh_per_g=material.alkali_demand_g_naoh_per_g or ZERO,
        grams=grams,
    )
