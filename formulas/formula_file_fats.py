"""The oils of a formula file: in grams, in percent of a total, or by volume for import only."""

from decimal import Decimal

from formulas.chemistry.numbers import adds_up
from formulas.chemistry.records import Fat
from formulas.chemistry.wording import figure_text
from formulas.formula_file_json import Fields, Reading, line_name
from formulas.material_book import MaterialBook, MaterialFigures

ZERO = Decimal(0)
OIL_WORDS = (
    "material",
    "grams",
    "percent",
    "milliliters",
    "sap_koh_mg_per_g",
    "sap_is_certificate",
    "iodine_value",
    "density_g_per_ml",
    "gives_glycerol",
    "acid_value",
    "unsaponifiable_percent",
    "fatty_acids_percent",
)


def read_fats(reading: Reading, book: MaterialBook, fields: Fields) -> tuple[Fat, ...]:
    """Return the fats; percent are turned into grams of the total."""
    lines = reading.lines(fields, "oils")
    if not lines and not reading.is_refused:
        reading.refuse("no-oils", "This formula has no oils yet.", "Add at least one oil, then calculate again.")
    oils_grams = reading.number(fields, "oils_grams", "The formula")
    is_by_percent = any(line.get("percent") is not None for line in lines)
    if is_by_percent and not _percents_fit(reading, lines, oils_grams):
        return ()
    fats = tuple(fat for line in lines if (fat := _fat(reading, book, line, oils_grams)) is not None)
    if oils_grams is not None and not is_by_percent:
        _judge_total(reading, fats, oils_grams)
    return fats


def _judge_total(reading: Reading, fats: tuple[Fat, ...], oils_grams: Decimal) -> None:
    total = sum((fat.grams for fat in fats), ZERO)
    if fats and not reading.is_refused and abs(total - oils_grams) > abs(oils_grams) / 2000:
        reading.refuse(
            "oils-sum",
            f"The oils add up to {figure_text(total)} g, but “oils_grams” says {figure_text(oils_grams)} g.",
            "Correct one of them, or leave “oils_grams” out.",
        )


def _percents_fit(reading: Reading, lines: list[Fields], oils_grams: Decimal | None) -> bool:
    if any(line.get("percent") is None or line.get("grams") is not None for line in lines):
        reading.refuse("oils-mixed", "Some oils are in percent and some in grams.", "Give all of them one way.")
        return False
    if oils_grams is None:
        if not reading.is_refused:
            reading.refuse(
                "oils-grams-missing", "The oils are in percent, but no total is given.", "Give “oils_grams”."
            )
        return False
    shares = [reading.fraction(line, "percent", line_name(line, "Oil")) for line in lines]
    known = tuple(share for share in shares if share is not None)
    if len(known) < len(shares):
        return False
    if not adds_up(known):
        reading.refuse(
            "oils-percent-sum",
            f"The oils add up to {figure_text(100 * sum(known, ZERO))} %, not 100 %.",
            "Correct the percentages so that they add up to 100.",
        )
        return False
    return True


def _fat(reading: Reading, book: MaterialBook, line: Fields, oils_grams: Decimal | None) -> Fat | None:
    name = reading.material(line, "Oil")
    reading.mention_unknown_keys(line, OIL_WORDS, name)
    known = book.find(name) or MaterialFigures()
    density = reading.number(line, "density_g_per_ml", name)
    density = known.density_g_per_ml if density is None else density
    grams = _grams(reading, line, name, oils_grams, density)
    sap = reading.spread(line, "sap_koh_mg_per_g", name)
    if sap is None and line.get("sap_koh_mg_per_g") is None:
        sap = known.sap_koh_mg_per_g
        if sap is None:
            reading.refuse_unknown(name, 'Give its SAP range, such as "sap_koh_mg_per_g": [187, 196].')
    iodine = reading.number(line, "iodine_value", name)
    acid_value = reading.number(line, "acid_value", name)
    gives_glycerol = reading.truth(line, "gives_glycerol", name)
    is_certificate = reading.truth(line, "sap_is_certificate", name)
    unsaponifiable = reading.fraction(line, "unsaponifiable_percent", name)
    make_up = _make_up(reading, line, name)
    if grams is None or sap is None:
        return None
    return Fat(
        name=name,
        grams=grams,
        sap_koh_mg_per_g=sap,
        iodine_value=known.iodine_value if iodine is None else iodine,
        density_g_per_ml=density,
        gives_glycerol=known.gives_glycerol if gives_glycerol is None else gives_glycerol,
        acid_value=known.acid_value if acid_value is None else acid_value,
        unsaponifiable_fraction=known.unsaponifiable_fraction if unsaponifiable is None else unsaponifiable,
        fatty_acids_percent=make_up or known.fatty_acids_percent,
        sap_is_certificate=known.sap_is_certificate if is_certificate is None else is_certificate,
        measured_by="volume" if line.get("milliliters") is not None else "mass",
    )


def _grams(
    reading: Reading, line: Fields, name: str, oils_grams: Decimal | None, density: Decimal | None
) -> Decimal | None:
    """Return grams, from percent of the total or from a volume where the line says so."""
    if line.get("percent") is not None:
        share = reading.fraction(line, "percent", name)
        return None if share is None or oils_grams is None else share * oils_grams
    grams = reading.number(line, "grams", name)
    if line.get("milliliters") is not None:
        milliliters = reading.number(line, "milliliters", name)
        if grams is not None or density is None:
            reading.refuse("oil-volume", f"{name}: a volume needs a density and no grams beside it.", "Weigh the oil.")
            return None
        return None if milliliters is None else milliliters * density
    if line.get("grams") is None:
        reading.refuse("fat-grams", f"{name}: its grams are missing.", 'Write "grams" with a number.')
    return grams


def _make_up(reading: Reading, line: Fields, name: str) -> tuple[tuple[str, Decimal], ...]:
    if line.get("fatty_acids_percent") is None:
        return ()
    acids = reading.mapping(line["fatty_acids_percent"], f"{name}: “fatty_acids_percent”") or {}
    percents = [(acid, reading.number(acids, acid, name)) for acid in acids]
    return tuple((acid, percent) for acid, percent in percents if percent is not None)
