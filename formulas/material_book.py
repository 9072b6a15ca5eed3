"""What a formula file may leave out because a material book knows it."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Protocol

from formulas.chemistry.records import Spread


@dataclass(frozen=True)
class MaterialFigures:
    """What a material book knows of one material; None is unknown. Alkalis are looked up as "NaOH" and "KOH"."""

    sap_koh_mg_per_g: Spread | None = None
    sap_is_certificate: bool = False
    iodine_value: Decimal | None = None
    density_g_per_ml: Decimal | None = None
    gives_glycerol: bool = True
    acid_value: Decimal = Decimal(0)
    unsaponifiable_fraction: Decimal | None = None
    fatty_acids_percent: Mapping[str, Decimal] | tuple[tuple[str, Decimal], ...] = ()
    water_fraction: Decimal | None = None
    fat_fraction: Decimal | None = None
    fat_sap_koh_mg_per_g: Spread | None = None
    sugars_fraction: Decimal | None = None
    protein_fraction: Decimal | None = None
    alcohol_fraction: Decimal | None = None
    alkali_demand_g_naoh_per_g: Decimal | None = None
    purity_fraction: Spread | None = None
    is_scent: bool = False


class MaterialBook(Protocol):
    """Where figures of named materials come from."""

    def find(self, name: str) -> MaterialFigures | None: ...


@dataclass(frozen=True)
class Bookless:
    """A book with nothing in it: every figure must stand in the file."""

    def find(self, name: str) -> MaterialFigures | None:
        return None
