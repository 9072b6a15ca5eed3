"""What an ingredient declaration sheet shows: the list, the working behind each place in it, and the sources."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class DeclarationLine:
    """One ingredient in label order."""

    name: str
    grams: Decimal
    percent: Decimal
    rule: str  # why it stands here: "above 1 percent, by weight"
    from_materials: str = ""  # "Olive oil, lot OO-12; …"


@dataclass(frozen=True, slots=True)
class AllergenLine:
    name: str
    percent: Decimal | None  # None: the supplier's data are missing
    threshold_percent: Decimal
    result: str  # "declare", "below", "unknown"
    sources: str = ""


@dataclass(frozen=True, slots=True)
class DeclarationPaper:
    product: str
    batch_number: str
    market: str  # "US soap", "EU"
    style: str  # "as added" or "as resulting"
    declaration: str  # the list as it stands on the label, heading included
    lines: tuple[DeclarationLine, ...]
    printed_at: datetime  # already in the workshop's own time
    printed_by: str
    formula_code: str = ""
    formula_revision: str = ""
    finish: str = ""
    made_date: date | None = None
    basis: str = ""  # "weights recorded at the bench", "planned weights"
    total_grams: Decimal | None = None
    allergens: tuple[AllergenLine, ...] = ()
    findings: tuple[str, ...] = ()  # what stops or limits this list, with the mend
    sources: tuple[str, ...] = ()
    notice: str = (
        "A drafting aid, not legal advice. The maker is responsible for the label. "
        "An allergen result is only as good as the supplier's data: unknown is not absent."
    )
    maker_lines: tuple[str, ...] = ()
    shop_name: str = ""
    paper_size: str = "letter"  # "letter" or "a4"
    language: str = "en"
