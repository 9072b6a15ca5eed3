"""What a batch remembers of its plan, whatever later happens to the formula, the design or the materials.

Frozen records of plain figures, kept as JSON in ``Batch.frozen``. Decimals travel as text, dates as ISO days.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TypeVar

T = TypeVar("T")


@dataclass(frozen=True)
class FrozenMaterial:
    """One material with the figures that the chemistry and the declaration used."""

    material_id: int
    name: str
    kind: str
    sap_low: Decimal | None = None
    sap_plan: Decimal | None = None
    sap_high: Decimal | None = None
    iodine_value: Decimal | None = None
    gives_glycerol: bool = True
    density_g_per_ml: Decimal | None = None
    water_percent: Decimal | None = None
    fat_percent: Decimal | None = None
    fat_sap_low: Decimal | None = None
    fat_sap_high: Decimal | None = None
    sugars_percent: Decimal | None = None
    alcohol_percent: Decimal | None = None
    alkali_demand_g_naoh_per_g: Decimal | None = None
    alkali_kind: str = ""
    purity_low_percent: Decimal | None = None
    purity_percent: Decimal | None = None
    purity_high_percent: Decimal | None = None
    grams_per_teaspoon: Decimal | None = None
    scent_limit_percent: Decimal | None = None
    flash_point_c: Decimal | None = None
    speeds_trace: bool = False
    vanillin_percent: Decimal | None = None
    color_change: str = ""
    has_allergen_statement: bool = False
    allergens: tuple[tuple[str, Decimal], ...] = ()
    label_name_us: str = ""
    label_name_eu: str = ""
    soap_name_sodium: str = ""
    soap_name_potassium: str = ""
    has_confirmed_names: bool = False
    color_index: str = ""
    us_color_listing: str = ""


@dataclass(frozen=True)
class FrozenContent:
    """So much of one material in own soap; a certificate's value of its lot stands in ``material`` already."""

    material: FrozenMaterial
    grams: Decimal
    has_sap_certificate: bool = False
    has_purity_certificate: bool = False
    color_certification: str = ""


@dataclass(frozen=True)
class FrozenContents:
    """What a piece of own soap is made of, as weighed in, less the water that has dried away since."""

    items: tuple[FrozenContent, ...]

    @property
    def grams(self) -> Decimal:
        return sum((item.grams for item in self.items), Decimal(0))


@dataclass(frozen=True)
class FrozenColor:
    material_id: int
    name: str
    grams: Decimal
    teaspoons: Decimal | None = None


@dataclass(frozen=True)
class FrozenPortion:
    """One place of a jug in the cut face; ``grams`` is all the jug holds in the end, its held-back oil included.

    ``lies`` is "cell", "swirl" (``share_percent`` of its layer) or "drop" (of the bar).
    """

    letter: str
    name: str
    row: int
    position: int
    height_share: Decimal
    width_share: Decimal
    color_hex: str
    grams: Decimal
    oils_grams: Decimal
    is_scented: bool
    trace: str
    pour_order: int
    colors: tuple[FrozenColor, ...] = ()
    note: str = ""
    lies: str = "cell"
    share_percent: Decimal = Decimal(0)
    carrier_oil: str = ""
    held_back_grams: Decimal = Decimal(0)  # of the batch's own oils, to wet the colors
    extra_oil_grams: Decimal = Decimal(0)  # on top of the batch
    superfat_percent: Decimal | None = None
    wet_liquid: str = ""
    wet_grams: Decimal = Decimal(0)  # stirred into this jug, on top of the batch
    water_percent: Decimal | None = None


@dataclass(frozen=True)
class FrozenPart:
    """A made-ahead part: pieces that go on bars, and spares beside them."""

    part_id: int
    key: str
    name: str
    kind: str
    pieces: int
    spares: int
    attached_at: str
    unit_grams: Decimal
    counts_as_contents: bool
    forbids_heat: bool
    color_hex: str
    attach_window_days: int | None = None
    ingredients: tuple[tuple[int, Decimal], ...] = ()  # material id and percent of the piece
    pieces_per_bar: int = 1

    @property
    def is_work(self) -> bool:
        """A stamp is work on the bar: nobody makes, counts or draws pieces of it."""
        return self.kind == "stamp"

    @property
    def bar_grams(self) -> Decimal:
        """What the pieces on one bar weigh."""
        return self.unit_grams * self.pieces_per_bar


@dataclass(frozen=True)
class FrozenFinish:
    """So many bars that look alike: ``key`` joins the part keys with "+"; "plain" has no part."""

    key: str
    label: str
    part_keys: tuple[str, ...]
    bars: int


@dataclass(frozen=True)
class FrozenSuperfat:
    planned: Decimal
    lowest: Decimal
    highest: Decimal
    smallest_safe_plan: Decimal
    standard_deviation: Decimal
    main_cause: str = ""


@dataclass(frozen=True)
class FrozenStep:
    """One step of the way this batch is made; days count from the anchor, ``most_days`` None means to the release."""

    key: str
    label: str
    anchor: str
    least_days: int
    most_days: int | None
    fixed_minutes: int
    minutes_per_bar: Decimal
    needs_person: bool
    binds: bool
    is_for_part: bool
    every_days: int
    note: str = ""


@dataclass(frozen=True)
class FrozenPlan:
    """Everything the bench, the papers and the label need to know of the plan."""

    product: str
    identity: str
    formula_name: str
    revision_number: int
    approved_on: date | None
    mold_name: str
    mold_count: int
    bars: int
    oils_grams: Decimal
    batter_grams: Decimal
    water_grams: Decimal
    water_percent_of_batch: Decimal
    lye_concentration_percent: Decimal
    liquid_to_lye: Decimal
    batter_density_g_per_ml: Decimal | None
    superfat: FrozenSuperfat
    superfat_floor_percent: Decimal
    cure_days: int
    least_cure_days: int
    is_beveled: bool
    is_stamped: bool
    gels: bool
    process_note: str
    materials: tuple[FrozenMaterial, ...]
    portions: tuple[FrozenPortion, ...]
    parts: tuple[FrozenPart, ...]
    finishes: tuple[FrozenFinish, ...]
    route: tuple[FrozenStep, ...] = ()
    made_of: str = ""  # "scraps" for a rebatch, "batter" for a mold filled from other pots; else from its own formula
    # The cut face as this mold gives it. Plans of before it was kept were drawn on a face of this size.
    face_width_mm: Decimal = Decimal(80)
    face_height_mm: Decimal = Decimal(55)
    is_round: bool = False

    def material(self, material_id: int) -> FrozenMaterial:
        """Return the frozen figures of a material; raises KeyError for one that was not planned."""
        for material in self.materials:
            if material.material_id == material_id:
                return material
        raise KeyError(material_id)
