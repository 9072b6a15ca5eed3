"""What becomes of a pot: how much soap, glycerin, salt and leftover oil the weighed materials turn into.

The lye goes to acids first, then to the fats. Which fat reacts first is unknown, so every fat keeps the same share.
A triglyceride gives one glycerol for three alkali; a free fatty acid and any other acid give one water for each.
"""

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from formulas.chemistry.constants import (
    ALKALI_G_PER_MOL,
    GLYCEROL_G_PER_MOL,
    MG_KOH_PER_MOL,
    NAOH_G_PER_MOL,
    WATER_G_PER_MOL,
)
from formulas.declaration.records import DeclaredInput

# Spare lye below this share of the need is nothing but the last digits of a division.
SPARE_LYE_FRACTION = Decimal("1e-12")

Kind = Literal["soap", "left_fat", "glycerin", "salt", "kept", "alkali", "unlisted"]
ZERO = Decimal()


@dataclass(frozen=True)
class Product:
    """One substance in the finished bar. Water is counted apart because it dries."""

    kind: Kind
    grams: Decimal
    source: DeclaredInput
    alkali_kind: str = ""
    working: str = ""


@dataclass(frozen=True)
class Reaction:
    products: tuple[Product, ...]
    water_grams: Decimal  # before drying
    saponified_fraction: Decimal | None  # None: no fat, or no lye, in this pot
    has_spare_alkali: bool = False
    has_starved_acid: bool = False  # acids take all the lye there is

    @property
    def dry_grams(self) -> Decimal:
        return sum((product.grams for product in self.products), ZERO)


@dataclass
class _Ledger:
    products: list[Product] = field(default_factory=list)
    water_grams: Decimal = ZERO

    def add(self, kind: Kind, grams: Decimal, source: DeclaredInput, alkali_kind: str = "", working: str = "") -> None:
        if grams:
            self.products.append(Product(kind, grams, source, alkali_kind, working))


def glycerol_per_gram_alkali(kind: str) -> Decimal:
    """Return g of glycerol for each g of alkali that a triglyceride takes up."""
    return GLYCEROL_G_PER_MOL / (3 * ALKALI_G_PER_MOL[kind])


def alkali_mol(leaf: DeclaredInput) -> Decimal:
    return leaf.grams * leaf.purity_fraction / ALKALI_G_PER_MOL[leaf.alkali_kind]


def acid_need_mol(leaf: DeclaredInput) -> Decimal:
    return leaf.grams * leaf.alkali_demand_g_naoh_per_g / NAOH_G_PER_MOL


def fat_grams(leaf: DeclaredInput) -> Decimal:
    """Return the fat that can turn to soap: the whole of a fat, the fat inside a liquid."""
    if leaf.role == "fat":
        return leaf.grams if leaf.sap_koh_mg_per_g else ZERO
    return leaf.grams * leaf.fat_fraction if leaf.fat_sap_koh_mg_per_g else ZERO


def fat_need_mol(leaf: DeclaredInput) -> Decimal:
    sap = leaf.sap_koh_mg_per_g if leaf.role == "fat" else leaf.fat_sap_koh_mg_per_g
    return fat_grams(leaf) * (sap or ZERO) / MG_KOH_PER_MOL


def react(pot: tuple[DeclaredInput, ...]) -> Reaction:
    """Work one pot through. Nothing is rounded, so what goes in comes out again to the last digits."""
    lye = tuple(leaf for leaf in pot if leaf.role == "alkali")
    lye_mol = {kind: sum((alkali_mol(a) for a in lye if a.alkali_kind == kind), ZERO) for kind in ALKALI_G_PER_MOL}
    total_mol = sum(lye_mol.values(), ZERO)
    acid_mol = sum((acid_need_mol(leaf) for leaf in pot if leaf.role != "alkali"), ZERO)
    fat_mol = sum((fat_need_mol(leaf) for leaf in pot if leaf.role != "alkali"), ZERO)
    acid_share = min(Decimal(1), total_mol / acid_mol) if acid_mol else ZERO
    for_fats_mol = total_mol - acid_share * acid_mol
    fat_share = min(Decimal(1), for_fats_mol / fat_mol) if fat_mol else ZERO
    ledger = _Ledger()
    splits = {kind: mol / total_mol for kind, mol in lye_mol.items() if mol} if total_mol else {}
    for leaf in pot:
        if leaf.role == "alkali":
            _enter_alkali(ledger, leaf)
        else:
            _enter_material(ledger, leaf, splits, acid_share, fat_share)
    spare_mol = for_fats_mol - fat_share * fat_mol
    for alkali in lye if spare_mol > 0 else ():
        share = spare_mol * alkali_mol(alkali) / total_mol if total_mol else ZERO
        grams = share * ALKALI_G_PER_MOL[alkali.alkali_kind]
        ledger.add("alkali", grams, alkali, alkali.alkali_kind, "lye that found nothing to react with")
    return Reaction(
        products=tuple(ledger.products),
        water_grams=ledger.water_grams,
        saponified_fraction=fat_share if fat_mol and total_mol else None,
        has_spare_alkali=bool(fat_mol) and spare_mol > fat_mol * SPARE_LYE_FRACTION,
        has_starved_acid=bool(fat_mol and total_mol) and for_fats_mol <= 0,
    )


def _enter_alkali(ledger: _Ledger, leaf: DeclaredInput) -> None:
    """The active part is used up in the reactions; water joins the water; the rest stays, but is no ingredient."""
    water = leaf.grams * leaf.water_fraction
    ledger.water_grams += water
    ledger.add("unlisted", leaf.grams * (1 - leaf.purity_fraction) - water, leaf, "", "what is not active in the lye")


def _enter_material(
    ledger: _Ledger, leaf: DeclaredInput, splits: dict[str, Decimal], acid_share: Decimal, fat_share: Decimal
) -> None:
    water = leaf.grams * leaf.water_fraction
    ledger.water_grams += water
    acid_mol = acid_need_mol(leaf) * acid_share
    if leaf.role == "fat" and leaf.sap_koh_mg_per_g:
        _enter_fat(ledger, leaf, splits, fat_share)
    elif leaf.role == "acid" and acid_mol:
        _enter_salt(ledger, leaf, splits, acid_mol, leaf.grams - water)
    else:
        _enter_kept(ledger, leaf, splits, acid_mol, fat_need_mol(leaf) * fat_share, leaf.grams - water)


def _enter_fat(ledger: _Ledger, leaf: DeclaredInput, splits: dict[str, Decimal], fat_share: Decimal) -> None:
    mol = fat_need_mol(leaf) * fat_share
    for kind, split in splits.items():
        taken = mol * split * ALKALI_G_PER_MOL[kind]
        reacted = leaf.grams * fat_share * split
        glycerol = mol * split / 3 * GLYCEROL_G_PER_MOL if leaf.gives_glycerol and not leaf.is_fatty_acid else ZERO
        water = mol * split * WATER_G_PER_MOL if leaf.is_fatty_acid else ZERO
        gone = f" − {glycerol:.2f} g glycerol" if glycerol else f" − {water:.2f} g water" if water else ""
        working = f"{reacted:.2f} g fat + {taken:.2f} g {kind}{gone}"
        ledger.add("soap", reacted + taken - glycerol - water, leaf, kind, working)
        ledger.add("glycerin", glycerol, leaf, kind, f"from {taken:.2f} g {kind}")
        ledger.water_grams += water
    ledger.add("left_fat", leaf.grams * (1 - fat_share), leaf, "", f"{1 - fat_share:.6f} × {leaf.grams} g")


def _enter_salt(
    ledger: _Ledger, leaf: DeclaredInput, splits: dict[str, Decimal], acid_mol: Decimal, dry_grams: Decimal
) -> None:
    need_mol = acid_need_mol(leaf)
    for kind, split in splits.items():
        taken = acid_mol * split * ALKALI_G_PER_MOL[kind]
        water = acid_mol * split * WATER_G_PER_MOL
        reacted = dry_grams * acid_mol / need_mol * split
        working = f"{reacted:.2f} g acid + {taken:.2f} g {kind} − {water:.2f} g water"
        ledger.add("salt", reacted + taken - water, leaf, kind, working)
        ledger.water_grams += water
    ledger.add("kept", dry_grams * (1 - acid_mol / need_mol), leaf, "", "acid that found no lye")


def _enter_kept(
    ledger: _Ledger,
    leaf: DeclaredInput,
    splits: dict[str, Decimal],
    acid_mol: Decimal,
    fat_mol: Decimal,
    dry_grams: Decimal,
) -> None:
    """A material that keeps its name: what it holds stays under it, less the water and glycerin it gives off."""
    taken = sum(((acid_mol + fat_mol) * split * ALKALI_G_PER_MOL[kind] for kind, split in splits.items()), ZERO)
    glycerol = fat_mol / 3 * GLYCEROL_G_PER_MOL if splits else ZERO
    water = acid_mol * WATER_G_PER_MOL if splits else ZERO
    ledger.water_grams += water
    ledger.add("glycerin", glycerol, leaf, "", f"from the fat in {leaf.material}")
    working = f"{dry_grams:.2f} g without water" + (f" + {taken:.2f} g lye taken up" if taken else "")
    ledger.add("kept", dry_grams + taken - glycerol - water, leaf, "", working)
