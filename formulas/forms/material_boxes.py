"""Which boxes each kind of material asks for, with their words and units."""

from formulas.models import Material

Kind = Material.Kind
DOSE = ("dose_low_percent", "dose_high_percent", "dose_basis", "grams_per_teaspoon", "when_added")
SCENT = (
    *DOSE,
    "scent_limit_percent",
    "scent_limit_source",
    "flash_point_c",
    "alcohol_percent",
    "speeds_trace",
)
FIELDS: dict[str, tuple[str, ...]] = {
    Kind.FAT: (
        "sap_low",
        "sap_plan",
        "sap_high",
        "iodine_value",
        "density_g_per_ml",
        "unsaponifiable_percent",
        "gives_glycerol",
        "fatty_acids",
    ),
    Kind.ALKALI: ("alkali_kind", "purity_low_percent", "purity_percent", "purity_high_percent"),
    Kind.LIQUID: (
        "water_percent",
        "fat_percent",
        "fat_sap_low",
        "fat_sap_high",
        "sugars_percent",
        "protein_percent",
        "alcohol_percent",
        "alkali_demand_g_naoh_per_g",
    ),
    Kind.ACID: ("alkali_demand_g_naoh_per_g", "water_percent", *DOSE),
    Kind.ADDITIVE: ("alkali_demand_g_naoh_per_g", "water_percent", "alcohol_percent", *DOSE),
    Kind.FRAGRANCE: SCENT,
    Kind.ESSENTIAL_OIL: SCENT,
    Kind.COLORANT: ("color_hex", "color_index", "us_color_listing", *DOSE),
    Kind.BOTANICAL: ("water_percent", *DOSE),
    Kind.PACKAGING: (),
    Kind.SOAP: (),
}
SOAP_NAMES = ("soap_name_sodium", "soap_name_potassium")
LAST = ("avoid_words", "source", "source_status", "note", "is_shelved")
UNITS = {
    "sap_low": "mg KOH/g",
    "sap_plan": "mg KOH/g",
    "sap_high": "mg KOH/g",
    "fat_sap_low": "mg KOH/g",
    "fat_sap_high": "mg KOH/g",
    "iodine_value": "g/100 g",
    "density_g_per_ml": "g/ml",
    "alkali_demand_g_naoh_per_g": "g NaOH/g",
    "grams_per_teaspoon": "g",
    "flash_point_c": "°C",
}
LABELS = {
    "sap_low": "SAP, lowest",
    "sap_plan": "SAP, planned",
    "sap_high": "SAP, highest",
    "density_g_per_ml": "Density in the warm pot",
    "unsaponifiable_percent": "Unsaponifiable",
    "gives_glycerol": "Gives glycerin (a wax or a free acid gives none)",
    "water_percent": "Water in it",
    "fat_percent": "Fat in it",
    "fat_sap_low": "SAP of that fat, lowest",
    "fat_sap_high": "SAP of that fat, highest",
    "sugars_percent": "Sugars",
    "protein_percent": "Protein",
    "alcohol_percent": "Alcohol",
    "alkali_demand_g_naoh_per_g": "Lye it takes up",
    "alkali_kind": "Which alkali",
    "purity_low_percent": "Purity, lowest",
    "purity_percent": "Purity, planned",
    "purity_high_percent": "Purity, highest",
    "dose_low_percent": "Usual dose, from",
    "dose_high_percent": "Usual dose, to",
    "dose_basis": "Dose is counted in",
    "grams_per_teaspoon": "A level teaspoon weighs",
    "when_added": "When it goes in",
    "scent_limit_source": "Where the limit stands",
    "flash_point_c": "Flash point",
    "speeds_trace": "Speeds up trace",
    "label_name_us": "Name on labels, United States",
    "label_name_eu": "Name on labels, European Union",
    "soap_name_sodium": "Name of its soap with NaOH",
    "soap_name_potassium": "Name of its soap with KOH",
    "color_hex": "Color to draw it in",
    "us_color_listing": "Listing as a color, United States",
    "source": "Where the figures come from",
    "source_status": "How sure they are",
}
HELP = {
    "sap_plan": "mg of KOH for each gram, such as 190. Empty: the middle of the range.",
    "purity_percent": "Empty: the upper end of the range, because that dose of lye cannot be too much.",
    "scent_limit_percent": "From the supplier's certificate. Empty means unknown, not unlimited.",
    "alkali_demand_g_naoh_per_g": "Grams of NaOH that one gram uses up; 0 if none, empty if unknown.",
    "source": "A certificate, a book, a supplier's sheet.",
}
