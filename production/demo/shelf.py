"""The demo shop's settings and what stands on its shelf. All names are invented."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from formulas.actions.materials import (
    AllergenShare,
    confirm_label_names,
    create_material,
    save_material,
    set_allergen_statement,
)
from formulas.models import Allergen, Material
from production.stock.actions import receive_lot, save_supplier
from production.stock.models import Lot
from soapshop.actions import change_workshop
from soapshop.models import User

SETTINGS = {
    "name": "Saltgrass Row Soaps",
    "maker_name": "Saltgrass Row Soaps",
    "street": "14 Cooper's Slip",
    "city_line": "Fennick Harbor, ME 04599",
    "country": "USA",
    "email": "hello@saltgrassrow.example",
    "phone": "207-555-0148",
    "website": "saltgrassrow.example",
    "time_zone": "America/New_York",
    "eyewash_place": "sink by the back door",
    "emergency_number": "911",
    "poison_center_number": "1-800-222-1222",
}
# Reference key, grams received, price, days ago, days it keeps, certificate (SAP in mg KOH/g or purity in percent).
FATS_AND_LYE = (
    ("olive", "60000", "412.00", 290, 540, None),
    ("coconut", "40000", "198.00", 290, 720, None),
    ("palm", "40000", "164.00", 290, 540, None),
    ("shea", "10000", "96.00", 280, 540, "181.5"),
    ("castor", "5000", "41.00", 280, 540, None),
    ("sunflower_high", "10000", "58.00", 60, 365, None),
    ("naoh", "20000", "74.00", 290, 730, None),
    ("water", "200000", "38.00", 30, None, None),
    ("milk_goat", "9000", "54.00", 20, 120, None),
    ("kaolin", "2000", "14.00", 200, None, None),
    ("oatmeal", "2000", "17.50", 150, 365, None),
    ("silk", "60", "13.00", 150, None, None),
    ("titanium_dioxide", "500", "11.00", 200, None, None),
    ("ultramarine", "400", "13.50", 200, None, None),
    ("iron_oxide", "300", "9.80", 200, None, None),
    ("iron_oxide_black", "300", "9.80", 200, None, None),
    ("mica", "400", "22.00", 200, None, None),
)
# The second, fresher delivery of what runs down first.
SECOND_LOTS = (("olive", "30000", "219.00", 14, 540), ("coconut", "20000", "104.00", 14, 720))
# Name, limit on the finished bar, flash point, speeds trace, allergens in percent of the scent.
SCENTS = (
    ("Fig and Driftwood", "5.0", "93", False, (("Linalool", "4.2"), ("Coumarin", "0.9"), ("Limonene", "2.1"))),
    ("Salt and Fennel", "3.8", "90", False, (("Linalool", "1.9"), ("Anise Alcohol", "0.4"))),
    ("Winter Orchard", "4.2", "88", True, (("Cinnamal", "0.35"), ("Eugenol", "0.6"), ("Limonene", "5.5"))),
)
LAVENDER = ("Lavender essential oil", "3.6", "71", (("Linalool", "32"), ("Linalyl Acetate", "34"), ("Geraniol", "0.4")))


@dataclass(frozen=True)
class Shelf:
    """Materials by a short word, as the formulas of the demo name them."""

    materials: dict[str, Material]

    def __getitem__(self, word: str) -> Material:
        return self.materials[word]


def set_up_workshop(*, by: User) -> None:
    change_workshop(wanted=SETTINGS, by=by)


def fill_shelf(*, today: date, by: User) -> Shelf:
    """Make the scents, narrow the suppliers' figures, receive the lots."""
    harbor = save_supplier(name="Blackrock Oils & Butters", lead_days=9, by=by)
    cove = save_supplier(name="Lantern Cove Scents", lead_days=14, by=by)
    materials = {key: Material.objects.get(key=key) for key, *_ in FATS_AND_LYE}
    _narrow_figures(materials, by=by)
    for key, grams, price, days_ago, keeps, certificate in FATS_AND_LYE:
        lot = _receive(materials[key], grams, price, today - timedelta(days=days_ago), keeps, harbor, by, certificate)
        confirm_label_names(material_id=lot.material_id, by=by)
    for key, grams, price, days_ago, keeps in SECOND_LOTS:
        _receive(materials[key], grams, price, today - timedelta(days=days_ago), keeps, harbor, by, None)
    for name, limit, flash, speeds, allergens in SCENTS:
        material = _scent("fragrance", name, limit, flash, speeds, allergens, by=by)
        materials[name] = material
        _receive(material, "3000", "118.00", today - timedelta(days=270), 720, cove, by, None)
    name, limit, flash, allergens = LAVENDER
    materials[name] = _scent("essential_oil", name, limit, flash, False, allergens, by=by)
    _receive(materials[name], "1500", "96.00", today - timedelta(days=270), 720, cove, by, None)
    return Shelf({key: Material.objects.get(pk=material.pk) for key, material in materials.items()})


def _narrow_figures(materials: dict[str, Material], *, by: User) -> None:
    """Enter the ranges of the suppliers' specifications, as a shop does that asks for them."""
    wanted = {
        "olive": {"sap_low": Decimal(187), "sap_plan": Decimal("191.5"), "sap_high": Decimal(196)},
        "coconut": {"sap_low": Decimal(248), "sap_plan": Decimal("256.5"), "sap_high": Decimal(265)},
        "palm": {"sap_low": Decimal(190), "sap_plan": Decimal("199.5"), "sap_high": Decimal(209)},
        "naoh": {
            "purity_low_percent": Decimal(97),
            "purity_percent": Decimal(98),
            "purity_high_percent": Decimal(99),
        },
    }
    for key, figures in wanted.items():
        save_material(material_id=materials[key].pk, figures=figures, by=by)


def _receive(
    material: Material,
    grams: str,
    price: str,
    on: date,
    keeps: int | None,
    supplier: object,
    by: User,
    certificate: str | None,
) -> Lot:
    return receive_lot(
        material=material,
        received_on=on,
        grams=Decimal(grams),
        by=by,
        supplier=supplier,
        supplier_lot=f"{material.name[:3].upper()}-{on:%j%y}",
        expires_on=None if keeps is None else on + timedelta(days=keeps),
        price=Decimal(price),
        sap_certificate=None if certificate is None else Decimal(certificate),
    )


def _scent(
    kind: str,
    name: str,
    limit: str,
    flash: str,
    speeds: bool,
    allergens: tuple[tuple[str, str], ...],
    *,
    by: User,
) -> Material:
    material = create_material(
        kind=kind,
        figures={
            "name": name,
            "scent_limit_percent": Decimal(limit),
            "scent_limit_source": "supplier's certificate for rinse-off soap",
            "flash_point_c": Decimal(flash),
            "speeds_trace": speeds,
            "label_name_us": "Fragrance" if kind == "fragrance" else "Lavandula Angustifolia (Lavender) Oil",
            "label_name_eu": "Parfum" if kind == "fragrance" else "Lavandula Angustifolia Oil",
            "avoid_groups": ["scent"],
            "density_g_per_ml": None,
        },
        by=by,
    )
    shares = [AllergenShare(Allergen.objects.get(name=entry), Decimal(share)) for entry, share in allergens]
    set_allergen_statement(
        material_id=material.pk, shares=shares, is_entered=True, source="supplier's allergen statement", by=by
    )
    return confirm_label_names(material_id=material.pk, by=by)
