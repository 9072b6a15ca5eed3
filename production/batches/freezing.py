"""The frozen plan of a batch, copied from the rows it was sized from."""

from dataclasses import replace

from formulas.chemistry.results import FormulaResult, SuperfatInterval
from formulas.finishes import FinishGroup, part_needs
from formulas.models import Design, Material, Portion
from formulas.portions import PortionPlan
from formulas.spares import parts_with_spares
from production.batches.asked import BatchAsk, BatchRefusal, known
from production.batches.frozen import FrozenColor, FrozenFinish, FrozenPart, FrozenPlan, FrozenPortion, FrozenSuperfat
from production.batches.records import freeze_material
from production.batches.weigh_out import PlannedLine
from soapshop.models import Workshop


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
    material_ids = [line.material_id for line in lines]
    material_ids += [material_id for part in parts for material_id, _ in part.ingredients]
    materials = Material.objects.prefetch_related("allergen_shares__allergen").in_bulk(set(material_ids))
    return FrozenPlan(
        product=ask.design.name,
        identity=ask.design.identity,
        formula_name=ask.revision.formula.name,
        revision_number=ask.revision.number,
        approved_on=ask.revision.approved_at.date() if ask.revision.approved_at else None,
        mold_name=ask.mold.name,
        mold_count=ask.mold_count,
        bars=ask.mold.usable_bars * ask.mold_count,
        oils_grams=known(result.oils_grams),
        batter_grams=known(result.batch_grams),
        water_grams=known(result.water_in_batch_grams),
        water_percent_of_batch=known(result.water_percent_of_batch),
        lye_concentration_percent=known(result.lye_concentration_percent),
        liquid_to_lye=known(result.liquid_to_lye),
        batter_density_g_per_ml=result.batter_density_g_per_ml,
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
    )


def frozen_superfat(interval: SuperfatInterval | None) -> FrozenSuperfat:
    if interval is None:
        raise BatchRefusal("The superfat of this batch cannot be computed. Look at the formula's open questions first.")
    return FrozenSuperfat(
        planned=interval.planned,
        lowest=interval.lowest,
        highest=interval.highest,
        smallest_safe_plan=interval.smallest_safe_plan,
        standard_deviation=interval.standard_deviation,
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
                    grams=jug.batter_grams,
                    oils_grams=jug.oils_grams,
                    is_scented=portion.is_scented,
                    trace=portion.get_trace_display(),
                    pour_order=portion.pour_order,
                    colors=_frozen_colors(portion, jug),
                    note=portion.note,
                )
            )
    return tuple(cells)


def _frozen_colors(portion: Portion, jug: PortionPlan) -> tuple[FrozenColor, ...]:
    grams = {color.name: color for color in jug.colors}
    return tuple(
        FrozenColor(
            material_id=color.material_id,
            name=color.material.name,
            grams=grams[color.material.name].grams,
            teaspoons=grams[color.material.name].level_teaspoons,
        )
        for color in portion.colors.all()
    )


def _frozen_parts(ask: BatchAsk) -> tuple[FrozenPart, ...]:
    pieces = {need.part_key: need.pieces for need in part_needs(ask.wants)}
    found = []
    for carried in ask.design.parts.all():
        part = carried.part
        if part.key not in pieces:
            continue
        needed = pieces[part.key]
        made = parts_with_spares(needed, percent=part.spare_percent, least=part.spare_least)
        found.append(
            FrozenPart(
                part_id=part.pk,
                key=part.key,
                name=part.name,
                kind=part.kind,
                pieces=needed,
                spares=made - needed,
                attached_at=part.attached_at,
                unit_grams=part.unit_grams,
                counts_as_contents=part.counts_as_contents,
                forbids_heat=part.forbids_heat,
                color_hex=part.color_hex,
                attach_window_days=part.attach_window_days,
                ingredients=tuple((item.material_id, item.percent) for item in part.ingredients.all()),
            )
        )
    return tuple(found)


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
    surplus = ask.mold.usable_bars * ask.mold_count - ask.ordered_bars
    if surplus > 0:
        plain = next((finish for finish in finishes if finish.key == "plain"), None)
        if plain is None:
            finishes.append(FrozenFinish(key="plain", label="Plain", part_keys=(), bars=surplus))
        else:
            finishes[finishes.index(plain)] = replace(plain, bars=plain.bars + surplus)
    return tuple(finishes)
