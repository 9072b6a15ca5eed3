"""A batch's rows to frozen records: its plan, and what really went into the pot."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from formulas.models import Material
from production.batches.contents import share_of
from production.batches.frozen import FrozenContents, FrozenMaterial, FrozenPlan
from production.batches.models import Batch, Weighing
from production.batches.pot import InPot, Pot, fill_pot
from soapshop.frozen_json import from_json


def plan_of(batch: Batch) -> FrozenPlan:
    """Return the batch's frozen plan."""
    return from_json(FrozenPlan, batch.frozen)


def planned_materials(batch: Batch) -> tuple[FrozenMaterial, ...]:
    """Return the materials of the frozen plan alone, which is a good deal quicker than the whole plan."""
    return tuple(from_json(FrozenMaterial, kept) for kept in batch.frozen["materials"])


@dataclass(frozen=True)
class WeighedInput:
    """One thing on the weigh-out with the figures of the lot it came from.

    Own soap stands there as what it is made of, material by material. ``grams`` is what the scale said, or None while
    the line is not weighed. A certificate value of the lot stands in ``material`` already (SAP as an exact value,
    purity likewise).
    """

    weighing_id: int
    material: FrozenMaterial
    grams: Decimal | None
    planned_grams: Decimal
    phase: str
    portion_letter: str = ""
    lot_code: str = ""
    has_sap_certificate: bool = False
    has_purity_certificate: bool = False
    color_certification: str = ""

    @property
    def expected_grams(self) -> Decimal:
        """What went in as far as known: the scale's figure, else the plan."""
        return self.planned_grams if self.grams is None else self.grams


def weighed_inputs(batch: Batch, weighings: Iterable[Weighing] | None = None) -> tuple[WeighedInput, ...]:
    """Return every line of the weigh-out; a material that was not planned brings its present figures.

    ``weighings`` are the lines where they were read already.
    """
    known = {material.material_id: material for material in planned_materials(batch)}
    found: list[WeighedInput] = []
    for weighing in batch.weighings.all() if weighings is None else weighings:
        if weighing.lot is not None and weighing.lot.contents:
            found += _from_own_soap(weighing, from_json(FrozenContents, weighing.lot.contents))
        else:
            found.append(_input(weighing, known))
    return tuple(found)


def _from_own_soap(weighing: Weighing, contents: FrozenContents) -> list[WeighedInput]:
    """Return every material in the soap that was weighed in, by its share."""
    planned = share_of(contents, weighing.planned_grams).items
    actual = planned if weighing.actual_grams is None else share_of(contents, weighing.actual_grams).items
    return [
        WeighedInput(
            weighing_id=weighing.pk,
            material=item.material,
            grams=None if weighing.actual_grams is None else item.grams,
            planned_grams=asked.grams,
            phase=weighing.phase,
            portion_letter=weighing.portion_letter,
            lot_code=weighing.lot.code if weighing.lot else "",
            has_sap_certificate=item.has_sap_certificate,
            has_purity_certificate=item.has_purity_certificate,
            color_certification=item.color_certification,
        )
        for item, asked in zip(actual, planned, strict=True)
    ]


def _input(weighing: Weighing, known: dict[int, FrozenMaterial]) -> WeighedInput:
    material = known.get(weighing.material_id) or freeze_material(weighing.material)
    lot = weighing.lot
    if lot is not None and lot.sap_certificate is not None:
        value = lot.sap_certificate
        material = replace(material, sap_low=value, sap_plan=value, sap_high=value)
    if lot is not None and lot.purity_percent is not None:
        value = lot.purity_percent
        material = replace(material, purity_low_percent=value, purity_percent=value, purity_high_percent=value)
    return WeighedInput(
        weighing_id=weighing.pk,
        material=material,
        grams=weighing.actual_grams,
        planned_grams=weighing.planned_grams,
        phase=weighing.phase,
        portion_letter=weighing.portion_letter,
        lot_code=lot.code if lot else "",
        has_sap_certificate=lot is not None and lot.sap_certificate is not None,
        has_purity_certificate=lot is not None and lot.purity_percent is not None,
        color_certification=lot.color_certification if lot else "",
    )


def pot_of(batch: Batch, *, planned_too: bool = False, weighings: Iterable[Weighing] | None = None) -> Pot:
    """Return what is in the pot, sorted; with ``planned_too`` what is not weighed yet counts as planned."""
    return fill_pot(in_pot_of(batch, planned_too=planned_too, weighings=weighings))


def in_pot_of(
    batch: Batch, *, planned_too: bool = False, weighings: Iterable[Weighing] | None = None
) -> tuple[InPot, ...]:
    """Return what is in the pot line by line."""
    return tuple(
        InPot(
            item.material,
            item.expected_grams if planned_too else item.grams or Decimal(0),
            item.has_sap_certificate,
            item.has_purity_certificate,
        )
        for item in weighed_inputs(batch, weighings)
        if planned_too or item.grams is not None
    )


COPIED = (
    "name",
    "kind",
    "sap_low",
    "sap_plan",
    "sap_high",
    "iodine_value",
    "gives_glycerol",
    "density_g_per_ml",
    "water_percent",
    "fat_percent",
    "fat_sap_low",
    "fat_sap_high",
    "sugars_percent",
    "alcohol_percent",
    "alkali_demand_g_naoh_per_g",
    "alkali_kind",
    "purity_low_percent",
    "purity_percent",
    "purity_high_percent",
    "grams_per_teaspoon",
    "scent_limit_percent",
    "flash_point_c",
    "speeds_trace",
    "vanillin_percent",
    "color_change",
    "has_allergen_statement",
    "label_name_us",
    "label_name_eu",
    "soap_name_sodium",
    "soap_name_potassium",
    "has_confirmed_names",
    "color_index",
    "us_color_listing",
)


def freeze_material(material: Material) -> FrozenMaterial:
    """Copy the figures of a material as they are today."""
    shares = material.allergen_shares.all()
    return FrozenMaterial(
        material_id=material.pk,
        allergens=tuple((share.allergen.name, share.share_percent) for share in shares),
        **{field: getattr(material, field) for field in COPIED},
    )
