"""The frozen plan of a batch, copied from the rows it was sized from."""

from collections.abc import Iterator
from dataclasses import asdict, replace
from decimal import Decimal

from django.db.models import prefetch_related_objects

from formulas.chemistry.results import FormulaResult, SuperfatInterval
from formulas.design_records import face_mm, is_round_mold
from formulas.finishes import FinishGroup, part_needs
from formulas.jugs import PortionPlan
from formulas.models import Design, FormulaRevision, Material, Part, Portion
from formulas.spares import parts_with_spares
from production.batches.asked import BatchAsk, BatchRefusal, known
from production.batches.frozen import (
    FrozenColor,
    FrozenFinish,
    FrozenPart,
    FrozenPlan,
    FrozenPortion,
    FrozenStep,
    FrozenSuperfat,
)
from production.batches.records import freeze_material
from production.batches.schedule import route_of_ask
from production.batches.weigh_out import PlannedLine
from soapshop.models import Workshop

# What a batch remembers is written as finely as a scale or a paper can show it, not to forty digits.
MILLIGRAM, FOUR_PLACES, SPOON_PLACES = Decimal("0.001"), Decimal("0.0001"), Decimal("0.01")


def _grams(grams: Decimal | None) -> Decimal:
    return known(grams).quantize(MILLIGRAM)


def _percent(fraction: Decimal | None) -> Decimal | None:
    return None if fraction is None else (100 * fraction).quantize(FOUR_PLACES)


def _fine(figure: Decimal | None) -> Decimal:
    return known(figure).quantize(FOUR_PLACES)


def freeze_plan(
    ask: BatchAsk,
    result: FormulaResult,
    jugs: tuple[PortionPlan, ...],
    lines: tuple[PlannedLine, ...],
    groups: tuple[FinishGroup, ...],
    workshop: Workshop,
) -> FrozenPlan:
    """Copy everything the bench, the papers and the label will need, as it is today."""
    parts = _frozen_parts(ask)
    density = result.batter_density_g_per_ml
    material_ids = [line.material_id for line in lines]
    material_ids += [material_id for part in parts for material_id, _ in part.ingredients]
    materials = _materials(ask, set(material_ids))
    face_width, face_height = face_mm(ask.mold)
    return FrozenPlan(
        product=ask.design.name,
        identity=ask.design.identity,
        formula_name=ask.revision.formula.name,
        revision_number=ask.revision.number,
        approved_on=ask.revision.approved_at.date() if ask.revision.approved_at else None,
        mold_name=ask.mold.name,
        mold_count=ask.mold_count,
        bars=ask.bars_made,
        oils_grams=_grams(result.oils_grams),
        batter_grams=_grams(result.batch_grams),
        water_grams=_grams(result.water_in_batch_grams),
        water_percent_of_batch=_fine(result.water_percent_of_batch),
        lye_concentration_percent=_fine(result.lye_concentration_percent),
        liquid_to_lye=_fine(result.liquid_to_lye),
        batter_density_g_per_ml=None if density is None else _fine(density),
        superfat=frozen_superfat(result.superfat),
        superfat_floor_percent=workshop.least_superfat_percent,
        cure_days=ask.revision.cure_days,
        least_cure_days=ask.revision.least_cure_days,
        is_beveled=ask.design.is_beveled,
        is_stamped=ask.design.is_stamped,
        gels=ask.design.gels,
        process_note=ask.revision.process_note,
        materials=tuple(freeze_material(materials[material_id]) for material_id in dict.fromkeys(material_ids)),
        portions=_frozen_portions(ask.design, jugs),
        parts=parts,
        finishes=_frozen_finishes(ask, groups),
        route=tuple(FrozenStep(**asdict(step)) for step in route_of_ask(ask)),
        face_width_mm=_fine(face_width),
        face_height_mm=_fine(face_height),
        is_round=is_round_mold(ask.mold),
    )


def _materials(ask: BatchAsk, wanted: set[int]) -> dict[int, Material]:
    """Return the materials by id: those read with the formula and the design, the rest (plain water) from the book."""
    found = {material.pk: material for material in _read(ask.design, ask.revision)}
    missing = wanted - set(found)
    return found | (Material.objects.in_bulk(missing) if missing else {})


def read_materials(design: Design, revision: FormulaRevision) -> None:
    """Read once what is copied of each material beside its figures: its allergens."""
    prefetch_related_objects([design], "parts__part__ingredients__material")
    prefetch_related_objects(list(_read(design, revision)), "allergen_shares__allergen")


def _read(design: Design, revision: FormulaRevision) -> Iterator[Material]:
    """Yield the materials of the formula, of the jugs and of the parts."""
    yield from (line.material for line in revision.lines.all())
    for portion in (portion for row in design.rows.all() for portion in row.portions.all()):
        yield from (color.material for color in portion.colors.all())
        yield from filter(None, (portion.carrier_oil, portion.wet_liquid))
    yield from (item.material for carried in design.parts.all() for item in carried.part.ingredients.all())


def frozen_superfat(interval: SuperfatInterval | None) -> FrozenSuperfat:
    if interval is None:
        raise BatchRefusal("The superfat of this batch cannot be computed. Look at the formula's open questions first.")
    return FrozenSuperfat(
        planned=_fine(interval.planned),
        lowest=_fine(interval.lowest),
        highest=_fine(interval.highest),
        smallest_safe_plan=_fine(interval.smallest_safe_plan),
        standard_deviation=_fine(interval.standard_deviation),
        main_cause=interval.causes[0][0] if interval.causes else "",
    )


def _frozen_portions(design: Design, jugs: tuple[PortionPlan, ...]) -> tuple[FrozenPortion, ...]:
    """Return every cell of the drawing with its jug; a letter poured in two places stands in two cells."""
    by_letter = {jug.letter: jug for jug in jugs}
    cells = []
    for row in design.rows.all():
        for portion in row.portions.all():
            jug = by_letter[portion.letter]
            cells.append(
                FrozenPortion(
                    letter=portion.letter,
                    name=portion.name,
                    row=row.position,
                    position=portion.position,
                    height_share=row.height_share,
                    width_share=portion.width_share,
                    color_hex=portion.color_hex,
                    grams=_grams(jug.batter_grams),
                    oils_grams=_grams(jug.oils_grams),
                    is_scented=portion.is_scented,
                    trace=portion.get_trace_display(),
                    pour_order=portion.pour_order,
                    colors=_frozen_colors(portion, jug),
                    note=portion.note,
                    lies=portion.lies,
                    share_percent=portion.share_percent,
                    carrier_oil=portion.carrier_oil.name if portion.carrier_oil else "",
                    held_back_grams=_grams(jug.held_back_oil_grams),
                    extra_oil_grams=_grams(jug.extra_oil_grams),
                    superfat_percent=_percent(jug.superfat_fraction),
                    wet_liquid=portion.wet_liquid.name if portion.wet_liquid else "",
                    wet_grams=_grams(jug.wet_grams),
                    water_percent=None if jug.water_percent is None else _fine(jug.water_percent),
                )
            )
    return tuple(cells)


def _frozen_colors(portion: Portion, jug: PortionPlan) -> tuple[FrozenColor, ...]:
    doses = {color.name: color for color in jug.colors}
    found = []
    for color in portion.colors.all():
        dose = doses[color.material.name]
        spoons = None if dose.level_teaspoons is None else dose.level_teaspoons.quantize(SPOON_PLACES)
        found.append(FrozenColor(color.material_id, color.material.name, _grams(dose.grams), spoons))
    return tuple(found)


def _frozen_parts(ask: BatchAsk) -> tuple[FrozenPart, ...]:
    pieces = {need.part_key: need.pieces for need in part_needs(ask.wants)}
    found = []
    for carried in ask.design.parts.all():
        part = carried.part
        if part.key not in pieces:
            continue
        needed = pieces[part.key]
        made = needed if part.is_work else spared(part, needed)
        found.append(freeze_part(part, pieces=needed, spares=made - needed, per_bar=carried.pieces_per_bar))
    return tuple(found)


def spared(part: Part, needed: int) -> int:
    """Return the pieces to make, spares included."""
    return parts_with_spares(needed, percent=part.spare_percent, least=part.spare_least)


def freeze_part(part: Part, *, pieces: int, spares: int = 0, per_bar: int = 1) -> FrozenPart:
    """Copy what the bench, the papers and the label need to know of a part."""
    return FrozenPart(
        part_id=part.pk,
        key=part.key,
        name=part.name,
        kind=part.kind,
        pieces=pieces,
        spares=spares,
        attached_at=part.attached_at,
        unit_grams=part.unit_grams,
        counts_as_contents=part.counts_as_contents,
        forbids_heat=part.forbids_heat,
        color_hex=part.color_hex,
        attach_window_days=part.attach_window_days,
        ingredients=tuple((item.material_id, item.percent) for item in part.ingredients.all()),
        pieces_per_bar=per_bar,
    )


def _frozen_finishes(ask: BatchAsk, groups: tuple[FinishGroup, ...]) -> tuple[FrozenFinish, ...]:
    names = {carried.part.key: carried.part.name for carried in ask.design.parts.all()}
    finishes = [
        FrozenFinish(
            key=group.key,
            label=" + ".join(names.get(key, key) for key in group.part_keys) or "Plain",
            part_keys=group.part_keys,
            bars=group.bars,
        )
        for group in groups
    ]
    surplus = ask.bars_made - ask.ordered_bars
    if surplus > 0:
        plain = next((finish for finish in finishes if finish.key == "plain"), None)
        if plain is None:
            finishes.append(FrozenFinish(key="plain", label="Plain", part_keys=(), bars=surplus))
        else:
            finishes[finishes.index(plain)] = replace(plain, bars=plain.bars + surplus)
    return tuple(finishes)
