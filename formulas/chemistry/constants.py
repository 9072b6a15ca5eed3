"""Molar masses and limits that the chemistry rests on, each with its source."""

from decimal import Decimal

# Molar masses in g/mol: IUPAC standard atomic weights (2021), as the Python package molmass gives them.
NAOH_G_PER_MOL = Decimal("39.9971")
KOH_G_PER_MOL = Decimal("56.1056")
WATER_G_PER_MOL = Decimal("18.0153")
GLYCEROL_G_PER_MOL = Decimal("92.0940")
IODINE_G_PER_MOL = Decimal("253.8089")  # I2

MG_KOH_PER_MOL = KOH_G_PER_MOL * 1000
ALKALI_G_PER_MOL = {"NaOH": NAOH_G_PER_MOL, "KOH": KOH_G_PER_MOL}

# What a triglyceride loses when its glycerol leaves and three waters join: glycerol less three waters, per mole.
GLYCERYL_G_PER_MOL = GLYCEROL_G_PER_MOL - 3 * WATER_G_PER_MOL

# SAP in mg KOH/g that a real fat can have: candelilla wax starts near 43, pure tricaprylin is 357 (from its formula).
SAP_LOWEST, SAP_HIGHEST = Decimal(40), Decimal(360)
# Below half an alkali is damp or mistyped; above all of it there is nothing. Common practice, no source.
PURITY_LOWEST, PURITY_HIGHEST = Decimal("0.5"), Decimal(1)

# Where only the kind is known: total alkali of the pharmacopoeia grade, from 95.0 % (USP 32, 2009) for NaOH and
# 85.0 % (pharmacopoeia, from memory) for KOH. The high end is taken as wholly pure so that no batch is lye-heavy.
UNSTATED_PURITY_LOWEST = {"NaOH": Decimal("0.95"), "KOH": Decimal("0.85")}

# Strongest lye, percent alkali by mass. NaOH: 109.2 g dissolve in 100 g water at 20 C (encyclopedia entry, 52.2 %);
# 50 % already crystallizes a few degrees cooler (from memory). KOH: about 121 g in 100 g at 25 C (from memory).
STRONG_LYE_PERCENT = Decimal(50)
STRONGEST_LYE_PERCENT = {"NaOH": Decimal(52), "KOH": Decimal(54)}
WEAK_LYE_PERCENT = Decimal(25)  # slow trace, long cure, more shrink: common practice, no source

# Superfat above this is rare outside salt bars and pure coconut bars: common practice, no source.
HIGH_SUPERFAT_FRACTION = Decimal("0.25")
HIGHEST_SUPERFAT_FRACTION = Decimal("0.5")
# How far weighed alkali may stray from the superfat that is named beside it before the sheet asks.
SUPERFAT_MISMATCH_PERCENT = Decimal("0.1")

SMALLEST_GRAMS, LARGEST_GRAMS = Decimal("0.001"), Decimal(1_000_000)  # a milligram; a metric ton in one pot
LARGEST_WEIGHING_ERROR_FRACTION = Decimal("0.2")
# The strongest alkali eater met in soap is hydrochloric acid, 1.10 g NaOH per g (39.9971 / 36.4608).
LARGEST_ALKALI_DEMAND = Decimal("1.2")

# Tap water is 99.9 % water (USDA SR18, 2005); its minerals are below what a scale shows, so it counts as water.
PLAIN_WATER_FRACTION = Decimal("0.999")
PLAIN_WATER_NAMES = frozenset(
    {
        "water",
        "water, tap",
        "tap water",
        "distilled water",
        "water, distilled",
        "deionized water",
        "water, deionized",
        "demineralized water",
        "purified water",
        "plain water",
        "soft water",
    }
)
# Fat in a liquid below this (coffee, aloe) may go without a SAP of its own; leaving it out only adds superfat.
NEGLIGIBLE_FAT_FRACTION = Decimal("0.005")

# Oils are near 0.90 g/mL at 40 C (gravities in the Soap-Making Manual, 1922, brought to 40 C).
USUAL_OIL_DENSITY_G_PER_ML = Decimal("0.90")
BATTER_CELSIUS = Decimal(40)
# KOH has no density table here; up to this share of the alkali the NaOH table is good to half a percent.
KOH_SHARE_LIKE_NAOH = Decimal("0.2")
