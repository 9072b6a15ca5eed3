"""The cost of one pot: of a design as it would be made today, or of a batch as it was weighed."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Prefetch, prefetch_related_objects

from formulas.models import Design, Part
from formulas.reads.designs import approved_revision
from formulas.spares import bars_with_spares
from orders.models import HouseTerms, OrderLine
from orders.money.cost import CostInputs, CostRefused, CostSheet, MaterialUse, PartUse, WorkTime, cost_sheet
from production.bar_ledger import Balance, BarState
from production.batches.asked import BatchAsk, BatchRefusal
from production.batches.freezing import read_materials, spared
from production.batches.models import Batch, Weighing
from production.batches.sizing import size_batch
from production.batches.weigh_out import WeighRules
from production.costing.prices import lot_price_per_gram, part_materials, part_price, todays_prices
from production.cure.bar_counts import bar_counts
from production.stock.models import PartMove
from soapshop.models import Workshop

SALEABLE = (BarState.RELEASED, BarState.RESERVED, BarState.PACKED, BarState.SHIPPED, BarState.IN_CURE, BarState.HELD)


@dataclass(frozen=True)
class PotCost:
    """A cost sheet, and what it was worked from. ``sheet`` is None when there is none; then ``refusal`` says why."""

    name: str
    basis: str
    sheet: CostSheet | None
    bars_made: int = 0
    bar_grams: Decimal | None = None
    refusal: str = ""


def design_pot(
    design: Design, *, workshop: Workshop, terms: HouseTerms, bars: int | None = None, line: OrderLine | None = None
) -> PotCost:
    """Cost a design at today's prices: its usual mold filled once, or as often as so many bars need."""
    revision = approved_revision(design)
    if revision is None:
        return PotCost(design.name, "", None, refusal="Its formula is not approved. Approve it, then look again.")
    read_materials(design, revision)
    usable = design.mold.usable_bars
    fillings = 1 if bars is None else max(-(-bars_poured(bars, workshop) // usable), 1)
    try:
        sized = size_batch(
            BatchAsk(design, revision, design.mold, fillings, 0, ()), workshop=workshop, rules=WeighRules.of(workshop)
        )
    except BatchRefusal as refusal:
        return PotCost(design.name, "", None, refusal=str(refusal))
    made = usable * fillings
    uses = _part_uses(design, line, made)
    materials: dict[int, tuple[str, Decimal]] = {}
    for weighed in sized.lines:
        name, grams = materials.get(weighed.material_id, (weighed.name, Decimal(0)))
        materials[weighed.material_id] = (name, grams + weighed.planned_grams)
    prices = todays_prices({*materials, *part_materials(part for part, _ in uses)})
    given = CostInputs(
        materials=tuple(MaterialUse(name, grams, prices.get(pk)) for pk, (name, grams) in materials.items()),
        parts=tuple(
            PartUse(part.name, pieces, part_price(part, prices), part.minutes_per_piece) for part, pieces in uses
        ),
        bars_made=made,
        bars_sold=bars_sold(made, workshop),
        packaging_per_bar=terms.packaging_per_bar,
        work=work_time(terms),
        overhead_percent=terms.overhead_percent,
    )
    basis = f"planned: {fillings} × {design.mold.name}, {made} bars, today's prices"
    return _costed(design.name, basis, given, sized.plan.batter_grams / made)


def batch_pot(batch: Batch, *, workshop: Workshop, terms: HouseTerms) -> PotCost:
    return batch_pots([batch], workshop=workshop, terms=terms)[batch.pk]


def batch_pots(batches: Sequence[Batch], *, workshop: Workshop, terms: HouseTerms) -> dict[int, PotCost]:
    """Cost batches at what their own lots cost, in a fixed number of queries.

    What was not weighed yet counts as planned, at today's prices.
    """
    prefetch_related_objects(
        list(batches),
        Prefetch("weighings", Weighing.objects.select_related("lot", "material")),
        Prefetch("part_moves", PartMove.objects.filter(pieces__lt=0).select_related("lot__part"), to_attr="parts_used"),
        "parts_used__lot__part__ingredients",
    )
    parts = {move.lot.part_id: move.lot.part for batch in batches for move in batch.parts_used}  # type: ignore[attr-defined]
    weighed = {row.material_id for batch in batches for row in batch.weighings.all()}
    prices = todays_prices({*weighed, *part_materials(parts.values())})
    counts = bar_counts([batch.pk for batch in batches])
    return {
        batch.pk: _batch_pot(batch, prices, list(counts.get(batch.pk, {}).values()), workshop, terms)
        for batch in batches
    }


def _batch_pot(
    batch: Batch, prices: dict[int, Decimal], balances: list[Balance], workshop: Workshop, terms: HouseTerms
) -> PotCost:
    made = batch.bars_cut or batch.planned_bars
    sold = sum(balance.at(state) for balance in balances for state in SALEABLE)
    pieces: dict[int, tuple[Part, int]] = {}
    for move in batch.parts_used:  # type: ignore[attr-defined]
        part, count = pieces.get(move.lot.part_id, (move.lot.part, 0))
        pieces[part.pk] = (part, count - move.pieces)
    given = CostInputs(
        materials=tuple(_weighed_use(row, prices) for row in batch.weighings.all()),
        parts=tuple(
            PartUse(part.name, count, part_price(part, prices), part.minutes_per_piece)
            for part, count in pieces.values()
        ),
        bars_made=made,
        bars_sold=sold if balances else bars_sold(made, workshop),
        packaging_per_bar=terms.packaging_per_bar,
        work=work_time(terms),
        overhead_percent=terms.overhead_percent,
    )
    basis = f"made: {made} bars, {given.bars_sold} to sell, at what its lots cost"
    return _costed(f"Batch {batch.number}", basis, given, batch.batter_grams / made)


def _weighed_use(row: Weighing, prices: dict[int, Decimal]) -> MaterialUse:
    own = lot_price_per_gram(row.lot) if row.lot else None
    # What was spilled beside the pot is paid for all the same.
    grams = (row.planned_grams if row.actual_grams is None else row.actual_grams) + row.spilled_grams
    return MaterialUse(row.material.name, grams, prices.get(row.material_id) if own is None else own)


def _costed(name: str, basis: str, given: CostInputs, bar_grams: Decimal) -> PotCost:
    try:
        return PotCost(name, basis, cost_sheet(given), given.bars_made, bar_grams)
    except CostRefused as refusal:
        return PotCost(name, basis, None, given.bars_made, bar_grams, str(refusal))


def _part_uses(design: Design, line: OrderLine | None, made: int) -> list[tuple[Part, int]]:
    """Return the pieces of each part: as the line asks, else on every bar where the design carries it so."""
    if line is not None:
        wanted = [(finish.part, finish.bars) for finish in line.finishes.select_related("part")]
    else:
        wanted = [
            (carried.part, made * carried.pieces_per_bar) for carried in design.parts.all() if carried.on_every_bar
        ]
    return [(part, count if part.is_work else spared(part, count)) for part, count in wanted]


def work_time(terms: HouseTerms) -> WorkTime:
    return WorkTime(Decimal(terms.batch_minutes), terms.bar_minutes, terms.hourly_rate)


def bars_poured(bars: int, workshop: Workshop) -> int:
    return bars_with_spares(bars, percent=workshop.bar_spare_percent, least=workshop.bar_spare_least)


def bars_sold(made: int, workshop: Workshop) -> int:
    """Return the most bars that can be promised out of so many made, by the workshop's spares."""
    sold = made
    while sold > 0 and bars_poured(sold, workshop) > made:
        sold -= 1
    return sold
