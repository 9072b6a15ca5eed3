"""Papers about a batch for others: certificate for a wholesale buyer, allergen table, product information summary."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from formulas.declaration import Declaration
from formulas.models import Material
from production.batch_states import BatchState
from production.batches.models import Batch
from production.documents.batch_paper import BatchPaper, PaperSection, PaperTable
from production.labels.assessor import ASSESSOR_STILL_DOES, RESPONSIBLE_PERSON_STILL_DOES
from production.labels.bars import newest_release
from production.labels.declaration_paper import MARKETS, STYLES, is_no_threshold, sources_of
from production.labels.declared import BatchLabels, FinishLabel
from production.labels.net import net_figure
from production.labels.sheets import LabelRefusal
from soapshop.models import Workshop

UNKNOWN_IS_NOT_ABSENT = "Allergens are only as well known as the suppliers' statements: unknown is not absent."
NO_TRACES = (
    "Everything is made in one workshop. This table says nothing of traces, and no bar is called safe for anyone."
)
MEDICAL = "Questions of health belong to a doctor."


@dataclass(frozen=True)
class About:
    """What every paper about one finish of a batch is drawn from."""

    batch: Batch
    labels: BatchLabels
    finish: FinishLabel
    declaration: Declaration
    workshop: Workshop
    printed_at: datetime
    printed_by: str


def batch_paper(
    kind: str,
    batch: Batch,
    labels: BatchLabels,
    finish: FinishLabel,
    *,
    workshop: Workshop,
    printed_at: datetime,
    printed_by: str,
) -> BatchPaper:
    """Return one of PAPERS; refuses with the mend when it would not be true yet."""
    if finish.declaration is None:
        raise LabelRefusal(finish.refusal)
    about = About(batch, labels, finish, finish.declaration, workshop, printed_at, printed_by)
    return PAPERS[kind](about)


def _certificate(about: About) -> BatchPaper:
    batch, release = about.batch, newest_release(about.batch)
    if batch.state != BatchState.RELEASED or release is None:
        raise LabelRefusal(
            f"{batch} is {batch.state.label.lower()}, not released, so nothing can be certified. "
            "Release it on the cure rack first."
        )
    if stops := [p for p in (*about.finish.problems, *about.declaration.problems) if p.level == "stop"]:
        raise LabelRefusal(f"{stops[0].text} {stops[0].mend}")
    checks = tuple(
        (
            check.get_method_display(),
            f"{check.figure.normalize():f}" if check.figure is not None else "–",
            check.limit_text or "–",
            check.get_verdict_display(),
            _day(check.on),
        )
        for check in batch.checks.all()
    )
    decision = f"Released on {_day(release.day)} by {release.by.display_name if release.by else 'the workshop'}."
    tested = (
        PaperSection("Tests", table=PaperTable(("Test", "#Figure", "Held against", "Result", "Day"), checks))
        if checks
        else PaperSection("Tests", ("No test is recorded for this batch.",))
    )
    days = PaperSection("Days", table=PaperTable(("What", "Day"), _days(about)))
    sections = (
        PaperSection("Decision", (decision, release.words)),
        days,
        tested,
        PaperSection("Net weight", (_net_text(about),)),
        _ingredients(about),
        _named_allergens(about),
        PaperSection("Tracing", ("The lots of all materials are on file under the batch number.",)),
    )
    return _paper(about, "Batch certificate", sections, sign=("For the workshop", "Day"))


def _allergen_table(about: About) -> BatchPaper:
    rows = tuple(
        (
            line.name,
            f"{line.percent:.4f} %",
            f"{line.threshold_percent.normalize():f} %",
            "named" if line.is_declared else "not named",
            ", ".join(line.sources),
        )
        for line in about.declaration.allergens
    )
    scents = (
        PaperSection(
            "Fragrance allergens",
            ("Shares of the bar at the lowest weight it dries to; the top of each range in the statements.",),
            PaperTable(("Name", "#In the bar", "#Named on the label above", "Label", "From"), rows),
        )
        if rows
        else PaperSection("Fragrance allergens", ("The suppliers' statements on file name none in these bars.",))
    )
    groups = tuple(_groups_of(about))
    contents = (
        PaperSection("Materials that some people avoid", table=PaperTable(("Material", "Group"), groups))
        if groups
        else PaperSection("Materials that some people avoid", ("No material here is marked with such a group.",))
    )
    limits = PaperSection("What this table cannot say", (UNKNOWN_IS_NOT_ABSENT, NO_TRACES, MEDICAL), is_list=True)
    return _paper(about, "Allergen table", (scents, contents, _ingredients(about), limits))


def _product_information(about: About) -> BatchPaper:
    composition = tuple(
        (entry.name, f"{entry.percent:.3f} %", ", ".join(entry.materials)) for entry in about.declaration.entries
    )
    plan = about.labels.plan
    made = (
        f"Cold process, formula {plan.formula_name} revision {plan.revision_number}"
        + (f", approved on {_day(plan.approved_on)}" if plan.approved_on else "")
        + f". Superfat planned {plan.superfat.planned.normalize():.2f} %, at the lowest {plan.superfat.lowest:.2f} %.",
        f"Lye solution {plan.lye_concentration_percent:.1f} %; cure {plan.cure_days} days, at least "
        f"{plan.least_cure_days}.",
    )
    sections = (
        PaperSection(
            "1. Composition",
            (f"Worked from {about.labels.basis}; {STYLES[about.labels.style]}.",),
            PaperTable(("Name", "#Share", "From"), composition),
        ),
        _named_allergens(about, title="2. Fragrance allergens"),
        PaperSection("3. Scents against their certificates", _scent_words(about), is_list=True),
        PaperSection("4. How it is made", made),
        PaperSection("5. Net weight and label", (_net_text(about), _list_text(about))),
        PaperSection("6. Rules and data used", sources_of(about.declaration, about.labels.on), is_list=True),
        PaperSection("7. What a qualified assessor must still do", ASSESSOR_STILL_DOES, is_list=True),
        PaperSection("8. What the responsible person must still do", RESPONSIBLE_PERSON_STILL_DOES, is_list=True),
    )
    notice = "No safety report and no safety assessment: the facts a qualified assessor starts from."
    return _paper(
        about, "Product information summary", sections, notice=notice, sign=("Assessor, name and proof", "Day")
    )


PAPERS: dict[str, Callable[[About], BatchPaper]] = {
    "certificate": _certificate,
    "allergens": _allergen_table,
    "product-information": _product_information,
}


def _paper(about: About, kind: str, sections: tuple[PaperSection, ...], **changes: Any) -> BatchPaper:
    batch, workshop = about.batch, about.workshop
    problems = (*about.finish.problems, *about.declaration.problems)
    return BatchPaper(
        kind=kind,
        product=about.labels.plan.product,
        finish=about.finish.name,
        batch_number=batch.number,
        facts=(
            ("Market", MARKETS[about.labels.market]),
            ("Made", _day(batch.poured_on) if batch.poured_on else "day not recorded"),
            ("Bars", str(about.finish.bars)),
        ),
        sections=sections,
        printed_at=about.printed_at,
        printed_by=about.printed_by,
        findings=tuple(f"{p.text} {p.mend}" for p in problems if p.level == "stop"),
        maker_lines=tuple(line for line in (workshop.maker_name, *workshop.address_lines) if line),
        shop_name=workshop.name,
        paper_size=workshop.paper_size,
        **changes,
    )


def _days(about: About) -> tuple[tuple[str, str], ...]:
    batch, release = about.batch, newest_release(about.batch)
    found = [("Poured", batch.poured_on), ("Cut", batch.cut_on)]
    if release is not None:
        found += [("Best from", release.best_from), ("Best used before the end of", release.best_before)]
    return tuple((what, _day(day)) for what, day in found if day)


def _ingredients(about: About) -> PaperSection:
    style = f"{MARKETS[about.labels.market]}, {STYLES[about.labels.style]}."
    return PaperSection("Ingredients", (_list_text(about), style))


def _list_text(about: About) -> str:
    return f"{about.declaration.heading}: {about.declaration.text}"


def _named_allergens(about: About, *, title: str = "Fragrance allergens over their threshold") -> PaperSection:
    held = about.declaration.allergens
    named = [line.name for line in held if line.is_declared]
    words = f"{', '.join(named)}." if named else "None, by the suppliers' statements on file."
    if held and not named and all(is_no_threshold(line.rule) for line in held):
        names = ", ".join(line.name for line in held)
        words = f"This market sets no threshold. By the suppliers' statements on file these bars hold {names}."
    return PaperSection(title, (words, UNKNOWN_IS_NOT_ABSENT))


def _net_text(about: About) -> str:
    finish = about.finish
    figure = net_figure(
        finish.weights,
        parts_grams=finish.parts_grams,
        removed_grams=finish.removed_grams,
        market=about.labels.market,
        lot=finish.lot,
    )
    if figure.statement is None:
        return "The net weight is not known yet."
    if finish.lot is not None:
        return f"{figure.text}, by {len(finish.lot.bars_grams)} finished bars on the scale. Soap goes on drying."
    return f"{figure.text}, by {about.finish.weights.weighings} weighings of marked bars. Soap goes on drying."


def _scent_words(about: About) -> tuple[str, ...]:
    found = [f"{p.text} {p.mend}" for p in about.finish.problems if p.code.startswith("scent")]
    if any(p.code in ("scent_over_limit", "scent_limit_unknown") for p in about.finish.problems):
        return tuple(found)
    return ("Every scent is within the limit of the certificate on file, on the lowest cured weight.", *found)


def _groups_of(about: About) -> list[tuple[str, str]]:
    """Groups as they are marked today on the materials in these bars, those inside parts and own soap too."""
    rows = Material.objects.filter(pk__in=about.finish.made_of).order_by("name").values_list("name", "avoid_groups")
    return [(name, ", ".join(groups)) for name, groups in rows if groups]


def _day(day: date) -> str:
    return f"{day:%b} {day.day}, {day.year}"
