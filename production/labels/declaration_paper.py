"""The ingredient list of one finish as the sheet it is kept and sent on."""

from datetime import date, datetime
from decimal import Decimal

from formulas.declaration import Declaration
from formulas.declaration.records import AllergenLine as Allergen
from production.batches.models import Batch
from production.documents.records import AllergenLine, DeclarationLine, DeclarationPaper
from production.labels.declared import BatchLabels, FinishLabel
from production.labels.sheets import LabelRefusal
from soapshop.models import Workshop

GRAM_STEP, PERCENT_STEP, ALLERGEN_STEP = Decimal("0.001"), Decimal("0.001"), Decimal("0.0001")
MARKETS = {
    "us_soap": "US, sold as soap",
    "us_cosmetic": "US, cosmetic",
    "eu": "European Union",
    "uk": "Great Britain",
    "ca": "Canada",
}
NO_RULE = "no rule"
STYLES = {"as_added": "as added", "as_resulting": "as resulting"}


def declaration_paper(
    batch: Batch,
    labels: BatchLabels,
    finish: FinishLabel,
    *,
    workshop: Workshop,
    printed_at: datetime,
    printed_by: str,
) -> DeclarationPaper:
    """Return the sheet; refuses when there is no list to print."""
    declaration = finish.declaration
    if declaration is None:
        raise LabelRefusal(finish.refusal)
    lots = _lots_by_material(batch)
    return DeclarationPaper(
        product=labels.plan.product,
        batch_number=batch.number,
        market=MARKETS[labels.market],
        style=STYLES[labels.style],
        declaration=f"{declaration.heading}: {declaration.text}",
        lines=tuple(
            DeclarationLine(
                name=entry.name,
                grams=entry.grams.quantize(GRAM_STEP),
                percent=entry.percent.quantize(PERCENT_STEP),
                rule=entry.rule,
                from_materials="; ".join(lots.get(material, material) for material in entry.materials),
            )
            for entry in declaration.entries
        ),
        printed_at=printed_at,
        printed_by=printed_by,
        formula_code=labels.plan.formula_name,
        formula_revision=str(labels.plan.revision_number),
        finish=finish.name,
        made_date=batch.poured_on,
        basis=f"{labels.basis}; the share of {finish.bars} bars",
        total_grams=declaration.basis_grams.quantize(GRAM_STEP),
        allergens=tuple(_allergen(line) for line in declaration.allergens),
        findings=tuple(
            f"{problem.text} {problem.mend}"
            for problem in (*finish.problems, *declaration.problems)
            if problem.level in ("stop", "ask")
        ),
        sources=sources_of(declaration, labels.on),
        maker_lines=tuple(line for line in (workshop.maker_name, *workshop.address_lines) if line),
        shop_name=workshop.name,
        paper_size=workshop.paper_size,
    )


def sources_of(declaration: Declaration, on: date) -> tuple[str, ...]:
    """The dated rules and the data that the list stands on."""
    rules = declaration.rule_set
    since = f"in force since {_day(rules.effective_from)}" if rules.effective_from else "the rules on file"
    lines = [f"{rules.title}: {rules.source} ({since}; looked up on {_day(on)})."]
    if declaration.allergens:
        bases = "; ".join(dict.fromkeys(line.basis for line in declaration.allergens))
        lines.append(f"Allergen shares: suppliers' statements, the top of each range, on the {bases}.")
        unruled = (line.rule for line in declaration.allergens if not line.is_declared)
        lines.extend(f"Fragrance allergens: {rule}." for rule in dict.fromkeys(unruled) if is_no_threshold(rule))
    lines.append("Saponification values: the lot's certificate where there is one, else the planned value.")
    return tuple(lines)


def is_no_threshold(rule: str) -> bool:
    """Whether the market has no figure above which an allergen is named."""
    return not rule.startswith("not over")


def _allergen(line: Allergen) -> AllergenLine:
    """What is the same for every line stands once, among the rules and data used."""
    result = "declare" if line.is_declared else "below" if line.rule.startswith("not over") else NO_RULE
    why = "" if result == NO_RULE else f"; {line.rule}"
    return AllergenLine(
        name=line.name,
        percent=line.percent.quantize(ALLERGEN_STEP),
        threshold_percent=line.threshold_percent,
        result=result,
        sources=f"{', '.join(line.sources)}{why}",
    )


def _lots_by_material(batch: Batch) -> dict[str, str]:
    lots: dict[str, list[str]] = {}
    for weighing in batch.weighings.all():
        if weighing.lot is not None:
            lots.setdefault(weighing.material.name, []).append(weighing.lot.code)
    return {name: f"{name}, lot {', '.join(dict.fromkeys(codes))}" for name, codes in lots.items()}


def _day(day: date) -> str:
    return f"{day:%b} {day.day}, {day.year}"
