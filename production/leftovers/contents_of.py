"""What the soap of a batch holds on a day, and how much of it there can be."""

from datetime import date
from decimal import Decimal

from production.bar_ledger import BarState
from production.batches.contents import dried, share_of, together
from production.batches.frozen import FrozenContent, FrozenContents
from production.batches.models import Batch
from production.batches.records import plan_of, weighed_inputs
from production.cure.bar_counts import bar_counts
from production.labels.bar_weights import bar_weights
from production.labels.bars import bar_facts
from production.labels.declared_inputs import declared_input, is_content
from production.stock.models import Origin

ZERO, WHOLE = Decimal(0), Decimal(1)
STILL_BARS = tuple(state for state in BarState if state not in (BarState.MADE, BarState.SPOILED))


def fresh_contents(batch: Batch) -> FrozenContents:
    """Return everything that went into the pot, material by material."""
    return together(
        FrozenContents(
            (
                FrozenContent(
                    line.material,
                    line.grams or ZERO,
                    line.has_sap_certificate,
                    line.has_purity_certificate,
                    line.color_certification,
                ),
            )
        )
        for line in weighed_inputs(batch)
        if line.grams and is_content(line.material)
    )


def kept_fraction(batch: Batch, contents: FrozenContents, *, on: date) -> Decimal:
    """Return what is left of a gram of fresh soap of this batch on a day: by its weigh-ins, else by the forecast."""
    if batch.cut_on is None or on <= batch.cut_on:
        return WHOLE
    body = tuple(declared_input(item.material, item.grams) for item in contents.items)
    weights = bar_weights(bar_facts(batch, plan_of(batch), body), on=on)
    if not weights.fresh_grams:
        return WHOLE
    return min(max(weights.expected_grams / weights.fresh_grams, weights.lowest_fraction), WHOLE)


def soap_of(contents: FrozenContents, grams: Decimal, *, kept: Decimal) -> FrozenContents:
    """Return what so many grams of soap hold of which this share of the fresh weight is left."""
    return dried(share_of(contents, grams / kept), grams)


def fresh_grams_left(batch: Batch, contents: FrozenContents, *, on: date) -> Decimal:
    """Return the most soap, in fresh grams, that can lie about beside the bars: nothing comes of nothing."""
    given = Origin.objects.filter(from_batch=batch, lot__isnull=False).values_list("grams", "lot__received_on")
    away = sum(((grams or ZERO) / kept_fraction(batch, contents, on=day) for grams, day in given), ZERO)
    return contents.grams - away - _bars_grams(batch)


def _bars_grams(batch: Batch) -> Decimal:
    """Return the fresh weight of the bars that are still bars, wherever they are; unknown counts as nothing."""
    if batch.mean_cut_bar_grams is None:
        return ZERO
    counts = bar_counts([batch.pk]).get(batch.pk, {}).values()
    bars = sum(now.at(state) for now in counts for state in STILL_BARS)
    return bars * batch.mean_cut_bar_grams
