"""Two alkalis side by side: what each neutralizes, what is weighed, and the other reading of the split."""

from dataclasses import dataclass
from decimal import Decimal

from formulas.chemistry.alkali import split_by_mass
from formulas.chemistry.constants import KOH_G_PER_MOL, NAOH_G_PER_MOL
from formulas.chemistry.records import AlkaliKind, FormulaSpec
from formulas.chemistry.results import FormulaResult

HUNDRED, ZERO = Decimal(100), Decimal(0)


@dataclass(frozen=True)
class AlkaliPart:
    """One of two alkalis. `if_by_mass_grams` is what to weigh if the same split meant weight of pure alkali."""

    kind: AlkaliKind
    fat_share_percent: Decimal
    weighed_grams: Decimal
    mass_share_percent: Decimal
    if_by_mass_grams: Decimal


def alkali_parts(spec: FormulaSpec, result: FormulaResult) -> tuple[AlkaliPart, ...]:
    """Return both alkalis; nothing where there is one kind only, or none could be worked out."""
    shares = {kind: sum((a.share_fraction for a in spec.alkalis if a.kind == kind), ZERO) for kind in ("NaOH", "KOH")}
    if not all(shares.values()) or result.naoh_grams is None or result.koh_grams is None:
        return ()
    mol = (result.pure_naoh_grams or ZERO) / NAOH_G_PER_MOL + (result.pure_koh_grams or ZERO) / KOH_G_PER_MOL
    by_mass = split_by_mass(mol, naoh_mass_fraction=shares["NaOH"])
    weighed: dict[AlkaliKind, Decimal] = {"NaOH": result.naoh_grams, "KOH": result.koh_grams}
    pure = {"NaOH": result.pure_naoh_grams or ZERO, "KOH": result.pure_koh_grams or ZERO}
    together = sum(weighed.values(), ZERO)
    return tuple(
        AlkaliPart(
            kind=kind,
            fat_share_percent=HUNDRED * shares[kind],
            weighed_grams=grams,
            mass_share_percent=HUNDRED * grams / together,
            if_by_mass_grams=by_mass[kind] * grams / pure[kind],
        )
        for kind, grams in weighed.items()
    )
