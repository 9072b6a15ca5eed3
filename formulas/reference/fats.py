"""Fats, oils, waxes, fatty acids and rosin: ``oils.csv`` with the two tables of fatty acids."""

import re
from collections.abc import Mapping
from decimal import ROUND_HALF_EVEN, Decimal
from pathlib import Path

from formulas.chemistry.constants import SAP_HIGHEST, SAP_LOWEST
from formulas.reference.density import WATER_G_PER_ML, density_in_the_pot
from formulas.reference.rows import MaterialRow, joined_notes, may_be_note
from formulas.reference.sap import PlannedSap, Range, plan_sap
from formulas.reference.tables import Line, Source, keyed_lines

OIL_COLUMNS = (
    "key name aliases made_from fat_kind gives_glycerin sap_seen_low sap_seen_high sap_seen_status sap_seen_source "
    "sap_recalled_low sap_recalled_high sap_from_make_up sap_chosen sap_chosen_reason iodine_seen_low "
    "iodine_seen_high iodine_seen_status iodine_seen_source iodine_recalled_low iodine_recalled_high "
    "iodine_from_make_up recalled_source density_low density_high density_at density_taken_at density_status "
    "density_source unsaponifiable_low unsaponifiable_high unsaponifiable_source avoid_groups may_be_groups "
    "row_status note"
)
SATURATED = ("4:0", "6:0", "8:0", "10:0", "12:0", "14:0", "16:0", "18:0", "20:0", "22:0")
ACIDS = (*SATURATED, "16:1", "18:1", "18:2", "18:3", "20:1", "22:1")
MAKE_UP_COLUMNS = (
    f"key food_number food_name {' '.join(ACIDS)} other fatty_acids_g_per_100g sap_computed iodine_computed "
    "source status"
)
LIMIT_ACIDS = (*(acid for acid in ACIDS if acid not in ("4:0", "6:0")), "18:1-OH")
LIMIT_COLUMNS = f"key {' '.join(f'{acid}_low {acid}_high' for acid in LIMIT_ACIDS)} status source"
FAT_KINDS = ("oil", "wax", "fatty acid", "resin")
FREE_ACIDS = ("fatty acid", "resin")
SAP_HINT = "Was a factor in g/g typed? Multiply it by 1,000."
# A measured make-up adds up to 100; this much is rounding.
MAKE_UP_SLACK = Decimal("0.5")
# Middles of limits need not add up to 100. Nearer than this they are brought to 100, else they are not used.
LIMITS_SLACK = Decimal(5)
# Pure linolenic acid is near 274 g of iodine for 100 g; no soap oil comes near.
IODINE_HIGHEST = Decimal(280)


def read_fats(folder: Path, sources: Mapping[str, Source]) -> list[MaterialRow]:
    oils = keyed_lines(folder, "oils.csv", OIL_COLUMNS)
    make_ups = keyed_lines(folder, "fatty_acids.csv", MAKE_UP_COLUMNS)
    limits = keyed_lines(folder, "fatty_acid_limits.csv", LIMIT_COLUMNS)
    for line in (*make_ups.values(), *limits.values()):
        if line.key() not in oils:
            raise line.refusal(f"“{line.key()}” is not in oils.csv.", "Add the oil there, or correct the key.")
    profiles = {key: _middles(line, sources) for key, line in limits.items()}
    profiles |= {key: _measured(line, sources) for key, line in make_ups.items()}
    return [_fat(line, profiles.get(key, {}), sources) for key, line in oils.items()]


def _fat(line: Line, profile: Mapping[str, str], sources: Mapping[str, Source]) -> MaterialRow:
    sap = _sap(line)
    return MaterialRow(
        key=line.key(),
        name=line.needed("name"),
        kind="fat",
        aliases=line.words("aliases"),
        is_free_acid=line.choice("fat_kind", FAT_KINDS) in FREE_ACIDS,
        sap_low=rounded(sap.low, 3) if sap else None,
        sap_plan=rounded(sap.plan, 3) if sap else None,
        sap_high=rounded(sap.high, 3) if sap else None,
        iodine_value=_iodine(line),
        gives_glycerol=line.is_yes("gives_glycerin"),
        density_g_per_ml=_density(line, sources),
        unsaponifiable_percent=_unsaponifiable(line, sources),
        fatty_acids_percent=profile,
        avoid_groups=(*line.words("avoid_groups"), *line.words("may_be_groups")),
        source=_source_words(line, sap, sources),
        source_status=f"SAP {sap.status}" if sap else "SAP not known",
        note=joined_notes(line.text("note"), line.text("sap_chosen_reason"), may_be_note(line.words("may_be_groups"))),
    )


def rounded(number: Decimal, places: int) -> Decimal:
    return number.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_EVEN)


def _sap(line: Line) -> PlannedSap | None:
    seen = _whole(line, "sap_seen", line.span("sap_seen", least=SAP_LOWEST, most=SAP_HIGHEST, hint=SAP_HINT))
    recalled = line.span("sap_recalled", least=SAP_LOWEST, most=SAP_HIGHEST, hint=SAP_HINT)
    if seen:
        line.choice("sap_seen_status", ("seen", "computed"))
    return plan_sap(
        seen=seen,
        recalled=_whole(line, "sap_recalled", recalled),
        from_make_up=line.number_or_none("sap_from_make_up", least=SAP_LOWEST, most=SAP_HIGHEST, hint=SAP_HINT),
        chosen=line.number_or_none("sap_chosen", least=SAP_LOWEST, most=SAP_HIGHEST, hint=SAP_HINT),
        seen_status=line.text("sap_seen_status"),
    )


def _whole(line: Line, stem: str, ends: tuple[Decimal | None, Decimal | None]) -> Range | None:
    low, high = ends
    if low is None and high is None:
        return None
    if low is None or high is None:
        raise line.refusal(f"“{stem}” has one end only.", "Give both ends, the same figure twice if there is one.")
    return low, high


def _iodine(line: Line) -> Decimal | None:
    """Return the value that goes with the measured make-up; without one the middle of what is seen or remembered."""
    from_make_up = line.number_or_none("iodine_from_make_up", least=Decimal(0), most=IODINE_HIGHEST)
    middles = [
        rounded((low + high) / 2, 2)
        for low, high in (
            line.span(stem, least=Decimal(0), most=IODINE_HIGHEST) for stem in ("iodine_seen", "iodine_recalled")
        )
        if low is not None and high is not None
    ]
    return from_make_up if from_make_up is not None else next(iter(middles), None)


def _density(line: Line, sources: Mapping[str, Source]) -> Decimal | None:
    """Return g/mL at 40 C, or None where none is printed or where it was taken on the solid."""
    printed = _whole(line, "density", line.span("density", least=Decimal("0.8"), most=Decimal("1.1")))
    if printed is None:
        return None
    line.source("density_source", sources)
    line.status("density_status")
    at = line.text("density_taken_at") or line.text("density_at")
    if at == "solid":
        return None
    temperatures = re.fullmatch(r"(\d+)/(\d+)", at)
    if temperatures is None or int(temperatures[2]) not in WATER_G_PER_ML:
        known = ", ".join(str(celsius) for celsius in WATER_G_PER_ML)
        raise line.refusal(
            f"“{at}” does not say at which temperatures the density was taken.",
            f"Write oil/water in C, such as 40/20, with water at one of {known}; or solid in density_taken_at.",
        )
    middle = (printed[0] + printed[1]) / 2
    density = density_in_the_pot(middle, oil_celsius=int(temperatures[1]), water_celsius=int(temperatures[2]))
    return rounded(density, 4)


def _unsaponifiable(line: Line, sources: Mapping[str, Source]) -> Decimal | None:
    low, high = line.span("unsaponifiable", least=Decimal(0), most=Decimal(100))
    if low is None or high is None:
        return None
    line.source("unsaponifiable_source", sources)
    return rounded((low + high) / 2, 4)


def _source_words(line: Line, sap: PlannedSap | None, sources: Mapping[str, Source]) -> str:
    """Return the source of the SAP that is planned with; a figure from the make-up has the make-up's source."""
    for column in ("iodine_seen_source", "recalled_source"):
        line.source_or_none(column, sources)
    if sap is not None and sap.status == "from memory":
        return line.source("recalled_source", sources).words
    if line.text("sap_seen_low"):
        return line.source("sap_seen_source", sources).words
    return sources["USDA18"].words


def _measured(line: Line, sources: Mapping[str, Source]) -> dict[str, str]:
    line.source("source", sources)
    shares = {acid: line.percent(acid) for acid in ACIDS}
    # "other" is what is left; rounding can make it a hair less than nothing.
    rest = line.number_or_none("other", least=Decimal("-0.1"), most=Decimal(100)) or Decimal()
    total = sum((share for share in shares.values() if share), rest)
    if abs(total - 100) > MAKE_UP_SLACK:
        raise line.refusal(f"The fatty acids add up to {total} %.", "They must make 100 %.")
    return {acid: f"{share.normalize():f}" for acid, share in shares.items() if share}


def _middles(line: Line, sources: Mapping[str, Source]) -> dict[str, str]:
    """Return a typical make-up from the middles of limits, brought to 100; empty when they do not come near."""
    line.source("source", sources)
    line.status()
    middles = {}
    for acid in LIMIT_ACIDS:
        low, high = line.percent(f"{acid}_low"), line.percent(f"{acid}_high")
        if (low is None) != (high is None) or (low is not None and high is not None and low > high):
            raise line.refusal(f"The limits of {acid} do not make a range.", "Give both, the lower figure first.")
        if low is not None and high is not None and high:
            middles[acid] = (low + high) / 2
    total = sum(middles.values(), Decimal())
    if abs(total - 100) > LIMITS_SLACK:
        return {}
    return {acid: f"{rounded(share * 100 / total, 2).normalize():f}" for acid, share in middles.items()}
