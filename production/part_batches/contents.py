"""What the pieces on a batch's bars really hold: by the weights of the pots their lots were made in."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Sum

from production.part_batches.models import PartWeighing
from production.stock.models import PartMove

HUNDRED, ZERO = Decimal(100), Decimal(0)
Shares = tuple[tuple[int, Decimal], ...]  # material and percent of the piece
OnBars = tuple[int, int]  # batch and part


@dataclass(frozen=True)
class LotOnBars:
    """Pieces of one lot on a batch's bars; no shares where the lot was not made in a pot of its own."""

    pieces: int
    shares: Shares = ()


def lots_on_bars(batch_ids: Iterable[int]) -> dict[OnBars, tuple[LotOnBars, ...]]:
    """Return the lots that pieces of each part came from; one query, and one more where a pot is known."""
    taken = PartMove.objects.filter(batch_id__in=list(batch_ids), is_broken=False).order_by("lot_id")
    rows = list(
        taken.values_list("batch_id", "lot__part_id", "lot_id", "lot__made_in")
        .annotate(pieces=Sum("pieces"))
        .filter(pieces__lt=0)
    )
    shares = _shares_by_pot({pot for *_, pot, _ in rows if pot is not None})
    found: defaultdict[OnBars, list[LotOnBars]] = defaultdict(list)
    for batch_id, part_id, _, pot, pieces in rows:
        found[batch_id, part_id].append(LotOnBars(-pieces, shares.get(pot, ())))
    return {place: tuple(lots) for place, lots in found.items()}


def true_shares(lots: Iterable[LotOnBars], usual: Shares) -> Shares:
    """Return what a piece on these bars holds: each lot by its pieces, as usual where its own pot is not known."""
    lots = tuple(lots)
    whole = sum(lot.pieces for lot in lots)
    if not whole or not any(lot.shares for lot in lots):
        return usual
    found: defaultdict[int, Decimal] = defaultdict(Decimal)
    for lot in lots:
        for material_id, percent in lot.shares or usual:
            found[material_id] += percent * lot.pieces / whole
    return tuple(sorted(found.items(), key=lambda item: (-item[1], item[0])))


def _shares_by_pot(pots: set[int]) -> dict[int, Shares]:
    grams: defaultdict[int, defaultdict[int, Decimal]] = defaultdict(lambda: defaultdict(Decimal))
    lines = PartWeighing.objects.filter(part_batch_id__in=pots, actual_grams__gt=0) if pots else ()
    for line in lines:
        grams[line.part_batch_id][line.material_id] += line.actual_grams or ZERO
    return {
        pot: tuple((material, HUNDRED * mass / sum(own.values(), ZERO)) for material, mass in own.items())
        for pot, own in grams.items()
    }
