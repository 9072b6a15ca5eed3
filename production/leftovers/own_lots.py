"""Put own soap on the shelf as a lot that names the batch it came of and keeps what it is made of."""

from datetime import date
from decimal import Decimal
from uuid import UUID

from formulas.models import Material
from production.batches.frozen import FrozenContents
from production.batches.models import Batch
from production.batches.yields import OWN_BATTER_KEY
from production.lot_states import LotState
from production.stock.models import Lot, Origin, StockMove
from soapshop.frozen_json import to_json
from soapshop.models import User
from soapshop.numbering import next_number

SCRAPS, BATTER = ("own-scraps", "Own soap: ends and scraps"), (OWN_BATTER_KEY, "Own batter of another pot")


def own_material(which: tuple[str, str]) -> Material:
    """Return the row that stands for own soap in a weigh-out; it carries no figures, each lot has its own."""
    key, name = which
    return Material.objects.get_or_create(key=key, defaults={"name": name, "kind": Material.Kind.SOAP})[0]


def put_on_shelf(
    batch: Batch,
    contents: FrozenContents,
    *,
    which: tuple[str, str],
    grams: Decimal,
    on: date,
    note: str,
    by: User,
    hold_reason: str = "",
    price: Decimal | None = None,
    typed_once: UUID | None = None,
) -> Lot:
    """Write the lot, its first move and its parent. The caller holds the lock on the batch and has judged it."""
    lot = Lot.objects.create(
        code=f"S{on:%y}-{next_number(f'own-{on:%y}'):03d}",
        material=own_material(which),
        status=(LotState.HELD if hold_reason else LotState.RELEASED).value,
        hold_reason=hold_reason[:300],
        received_on=on,
        received_grams=grams,
        grams_left=grams,
        price=price,
        contents=to_json(contents),
        typed_once=typed_once,
    )
    StockMove.objects.create(lot=lot, kind=StockMove.Kind.MADE, grams=grams, by=by, note=note[:300])
    Origin.objects.create(lot=lot, from_batch=batch, grams=grams, by=by)
    return lot
