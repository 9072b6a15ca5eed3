"""The batch of checks OR01 to RS05: olive 500, coconut 300, water 290, castor 200, NaOH 139, fragrance 30 and so on."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

from formulas.declaration import AllergenShare, DeclarationInput, DeclaredInput, LabelNames

DAY = date(2026, 9, 1)
# Molar masses of chemistry's constants (IUPAC 2021); the checks give the NaOH need of each fat.
KOH_OVER_NAOH = Decimal("56.1056") / Decimal("39.9971")


def sap_from_naoh(need_g_per_g: str) -> Decimal:
    return Decimal(need_g_per_g) * KOH_OVER_NAOH * 1000


def names(us: str, eu: str = "", sodium: str = "", potassium: str = "") -> LabelNames:
    return LabelNames(us=us, eu=eu or us, soap_sodium=sodium, soap_potassium=potassium, is_confirmed=True)


def fat(material: str, grams: str, need: str, label: LabelNames) -> DeclaredInput:
    return DeclaredInput(material, Decimal(grams), "fat", label, sap_koh_mg_per_g=sap_from_naoh(need))


def color(material: str, grams: str, us: str, ci: str) -> DeclaredInput:
    label = LabelNames(color_us=us, color_ci=ci, is_confirmed=True)
    return DeclaredInput(material, Decimal(grams), "colorant", label)


def scent(material: str, grams: str, **shares: str) -> DeclaredInput:
    """Shares by name, with _ for a space: Linalyl_Acetate="38"."""
    held = tuple(AllergenShare(name.replace("_", " "), Decimal(share)) for name, share in shares.items())
    return DeclaredInput(material, Decimal(grams), "scent", allergens=held)


OLIVE = fat(
    "Olive oil", "500", "0.134", names("Olive Oil", "Olea Europaea Fruit Oil", "Sodium Olivate", "Potassium Olivate")
)
COCONUT = fat(
    "Coconut oil", "300", "0.183", names("Coconut Oil", "Cocos Nucifera Oil", "Sodium Cocoate", "Potassium Cocoate")
)
CASTOR = fat(
    "Castor oil",
    "200",
    "0.128",
    names("Castor Seed Oil", "Ricinus Communis Seed Oil", "Sodium Castorate", "Potassium Castorate"),
)
WATER = DeclaredInput("Rain water", Decimal(290), "liquid", names("Water", "Aqua"), water_fraction=Decimal(1))
LYE = DeclaredInput("Lye beads", Decimal(139), "alkali", names("Sodium Hydroxide"), alkali_kind="NaOH")
FRAGRANCE = scent("Hedge blossom fragrance", "30")
KAOLIN = DeclaredInput("Kaolin", Decimal(8), "additive", names("Kaolin"))
WHITE = color("Titanium dioxide", "5", "Titanium Dioxide", "CI 77891")
MICA = color("Mica", "4", "Mica", "CI 77019")
BATCH = (OLIVE, COCONUT, CASTOR, WATER, LYE, FRAGRANCE, KAOLIN, WHITE, MICA)


def label_input(*inputs: DeclaredInput, **changes: object) -> DeclarationInput:
    plain = DeclarationInput(inputs or BATCH, "eu", "as_added", DAY, Decimal(1306), Decimal(1300))
    return replace(plain, **changes)  # type: ignore[arg-type]


def scented_bar(
    *scents: DeclaredInput, lowest: str = "1350", water: str = "290", **changes: object
) -> DeclarationInput:
    """The bar of the allergen checks: 1000 g of oils, the scents given, 1350 g at its lowest."""
    base = (OLIVE, COCONUT, CASTOR, replace(WATER, grams=Decimal(water)), LYE, *scents)
    return label_input(*base, cured_mass_grams=None, lowest_cured_mass_grams=Decimal(lowest), **changes)
