"""What the tables come to: one frozen row for each material and each fragrance allergen."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal


@dataclass(frozen=True)
class MaterialRow:
    """One material. Fields are called as in the database, but for the two that it does not hold; None is not known."""

    key: str
    name: str
    kind: str
    aliases: tuple[str, ...] = ()  # not in the database
    is_free_acid: bool = False  # not in the database: the whole SAP is acid value
    # Fats: mg KOH for each gram, iodine in g for each 100 g, density at 40 C.
    sap_low: Decimal | None = None
    sap_plan: Decimal | None = None
    sap_high: Decimal | None = None
    iodine_value: Decimal | None = None
    gives_glycerol: bool = True
    density_g_per_ml: Decimal | None = None
    unsaponifiable_percent: Decimal | None = None
    fatty_acids_percent: Mapping[str, str] = field(default_factory=dict)
    # Liquids.
    water_percent: Decimal | None = None
    fat_percent: Decimal | None = None
    fat_sap_low: Decimal | None = None
    fat_sap_high: Decimal | None = None
    sugars_percent: Decimal | None = None
    protein_percent: Decimal | None = None
    alcohol_percent: Decimal | None = None
    # Lye eaters and alkalis.
    alkali_demand_g_naoh_per_g: Decimal | None = None
    alkali_kind: str = ""
    purity_low_percent: Decimal | None = None
    purity_percent: Decimal | None = None
    purity_high_percent: Decimal | None = None
    # Doses.
    dose_low_percent: Decimal | None = None
    dose_high_percent: Decimal | None = None
    dose_basis: str = ""
    grams_per_teaspoon: Decimal | None = None
    when_added: str = ""
    # Names and colors.
    label_name_us: str = ""
    label_name_eu: str = ""
    soap_name_sodium: str = ""
    soap_name_potassium: str = ""
    color_index: str = ""
    color_hex: str = ""
    us_color_listing: str = ""
    avoid_groups: tuple[str, ...] = ()
    # Where it comes from.
    source: str = ""
    source_status: str = ""
    note: str = ""
    is_shelved: bool = False


@dataclass(frozen=True)
class AllergenRow:
    entry: str
    name: str
    covered_names: str
    cas_numbers: str
    is_prohibited: bool
    source: str


@dataclass(frozen=True)
class Reference:
    """All of the reference data, judged and joined."""

    materials: tuple[MaterialRow, ...]
    allergens: tuple[AllergenRow, ...]


def joined_notes(*notes: str) -> str:
    return " ".join(note for note in notes if note)


def may_be_note(groups: tuple[str, ...]) -> str:
    """Say in words what a material may come from; for the avoid-list it counts until the supplier says otherwise."""
    if not groups:
        return ""
    return f"May be of these groups: {', '.join(groups)}. Ask the supplier."
