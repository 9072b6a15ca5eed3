"""Planned, weighed, poured and cut batches for the tests of plan and bench, made through the pages' own actions."""

from collections.abc import Mapping
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from formulas.models import Material
from production.batches.actions.after_pour import cut_batch
from production.batches.actions.bench import pour_batch, start_batch, weigh_line
from production.batches.actions.planning import plan_batches
from production.batches.models import Batch, Weighing
from production.stock.actions import receive_lot
from soapshop.models import User
from tests.orders.builders import (
    NEEDED_BY,
    TODAY,
    make_customer,
    make_design,
    make_formula,
    make_mold,
    make_order,
    make_part,
    material,
)

__all__ = [
    "NEEDED_BY",
    "TODAY",
    "cut_of",
    "make_customer",
    "make_design",
    "make_formula",
    "make_mold",
    "make_order",
    "make_part",
    "material",
    "planned_batch",
    "poured_batch",
    "started_batch",
    "stock_lots",
    "weigh",
    "weighed_batch",
]


def planned_batch(by: User, bars: int = 10, **wish: Any) -> Batch:
    order = make_order(by, make_design(by), bars, **wish)
    return plan_batches(order_id=order.pk, today=TODAY, pour_on=TODAY, by=by)[0]


def stock_lots(by: User, batch: Batch, *, grams: str = "20000") -> dict[int, str]:
    """Receive one lot of each material of the batch, and return its code by material."""
    ids = dict.fromkeys(batch.weighings.values_list("material_id", flat=True))
    return {
        pk: receive_lot(
            material=Material.objects.get(pk=pk), received_on=date(2026, 4, 1), grams=Decimal(grams), by=by
        ).code
        for pk in ids
    }


def started_batch(by: User, **wish: Any) -> tuple[Batch, dict[int, str]]:
    batch = planned_batch(by, **wish)
    lots = stock_lots(by, batch)
    return start_batch(batch_id=batch.pk, by=by), lots


def weigh(line: Weighing, lots: Mapping[int, str], by: User, *, grams: Decimal | None = None, words: str = "") -> None:
    weigh_line(
        weighing_id=line.pk,
        lot_code=lots[line.material_id],
        grams=line.planned_grams if grams is None else grams,
        on=TODAY,
        what_happened=words,
        by=by,
    )


def weighed_batch(by: User, **wish: Any) -> tuple[Batch, dict[int, str]]:
    batch, lots = started_batch(by, **wish)
    for line in batch.weighings.all():
        weigh(line, lots, by)
    return batch, lots


def poured_batch(by: User, **wish: Any) -> Batch:
    batch, _ = weighed_batch(by, **wish)
    return pour_batch(batch_id=batch.pk, on=TODAY, by=by)


def cut_of(by: User, **wish: Any) -> Batch:
    batch = poured_batch(by, **wish)
    counts = {finish["key"]: finish["bars"] for finish in batch.frozen["finishes"]}
    return cut_batch(batch_id=batch.pk, on=TODAY + timedelta(days=1), bars_by_finish=counts, spoiled=0, by=by)
