"""Own soap for the tests: a cut batch, its ends in stock, a rebatch of them; all through the shop's own actions."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from orders.models import Customer
from production.batches.actions.after_pour import cut_batch
from production.batches.actions.bench import pour_batch, start_batch, weigh_line
from production.batches.actions.planning import plan_batches
from production.batches.models import Batch
from production.leftovers.actions.rebatch import plan_rebatch
from production.leftovers.actions.scraps import stock_scraps
from production.stock.actions import receive_lot
from production.stock.models import Lot
from soapshop.models import User
from tests.production.builders import TODAY, make_order, material, stock_lots, weigh, weighed_batch

CUT_ON = TODAY + timedelta(days=1)


def cut_with_weights(by: User, **wish: Any) -> Batch:
    """Weigh, pour and cut a batch whose every gram is on the scale: 97 % in bars, 3 % in ends."""
    batch, _ = weighed_batch(by, **wish)
    grams = sum((line.actual_grams or Decimal(0) for line in batch.weighings.all()), Decimal(0))
    batch = pour_batch(batch_id=batch.pk, on=TODAY, in_molds_grams=grams, by=by)
    counts = {finish["key"]: finish["bars"] for finish in batch.frozen["finishes"]}
    made = sum(counts.values())
    mean = (grams * Decimal("0.97") / made).quantize(Decimal("0.001"))
    return cut_batch(
        batch_id=batch.pk,
        on=CUT_ON,
        bars_by_finish=counts,
        spoiled=0,
        mean_bar_grams=mean,
        ends_grams=grams - mean * made,
        by=by,
    )


def another_pot(by: User, like: Batch) -> Batch:
    """Weigh out a second pot of the same design."""
    order = make_order(by, like.design, 10, customer=Customer.objects.first())
    batch = plan_batches(order_id=order.pk, today=TODAY, pour_on=TODAY, by=by)[0]
    lots = stock_lots(by, batch)
    start_batch(batch_id=batch.pk, by=by)
    for line in batch.weighings.all():
        weigh(line, lots, by)
    return batch


def ends_of(batch: Batch, by: User, grams: str = "40", *, on: date = CUT_ON) -> Lot:
    return stock_scraps(batch_id=batch.pk, grams=Decimal(grams), what="Ends", on=on, by=by)


def rebatch_of(by: User, grams_by_lot: dict[str, str], additions: dict[str, str] | None = None, **wish: Any) -> Batch:
    like = Lot.objects.get(code=next(iter(grams_by_lot))).origins.get().from_batch
    assert like is not None
    given = {
        "design_id": like.design_id,
        "mold_id": like.mold_id,
        "mold_count": 1,
        "bars": 4,
        "cure_days": 28,
        "least_cure_days": 14,
        "pour_on": CUT_ON,
    } | wish
    return plan_rebatch(
        grams_by_lot={code: Decimal(grams) for code, grams in grams_by_lot.items()},
        additions={material(key).pk: Decimal(grams) for key, grams in (additions or {}).items()},
        by=by,
        **given,
    )


def weigh_all(batch: Batch, by: User, *, on: date = CUT_ON) -> Batch:
    """Weigh every line as planned: own soap from the lot it names, the rest from a fresh tub."""
    start_batch(batch_id=batch.pk, by=by)
    for line in batch.weighings.select_related("lot", "material"):
        lot = line.lot or receive_lot(material=line.material, received_on=TODAY, grams=Decimal(1000), by=by)
        weigh_line(weighing_id=line.pk, lot_code=lot.code, grams=line.planned_grams, on=on, by=by)
    batch.refresh_from_db()
    return batch
