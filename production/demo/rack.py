"""The demo's parts, weigh-ins, checks, releases and hand-overs."""

from datetime import date, timedelta
from decimal import Decimal

from orders.actions import move_order
from orders.models import Order
from orders.order_states import OrderState
from production.batches.models import Batch
from production.batches.records import plan_of
from production.cure.actions.checks import CheckReading, enter_check
from production.cure.actions.packing import hand_over, pack_order
from production.cure.actions.reserving import allocate_bars
from production.cure.actions.review import release_batch
from production.cure.actions.weighing import weigh_bars
from production.cure.keeping_reads import keeping_of
from production.cure.records import for_rack
from production.demo.book import Book
from production.demo.till import take_balance
from production.labels.bars import bars_by_finish
from production.labels.lot_actions import weigh_lot
from production.stock.actions import make_part_lot
from soapshop.models import User

MARKS = ("1", "2", "3")
WEEK = timedelta(days=7)
# Drying of the demo's bars: toward 9 % water with a time of 11 days (usual figures of the trade, no source).
SETTLED_WATER, DRYING_DAYS = Decimal("0.09"), Decimal(11)
DAYS_TO_PACK = timedelta(days=3)
RELEASED_AFTER = timedelta(days=44)
CHECKED = ("review", "ready", "packed", "handed_over", "closed")


def make_parts(book: Book, *, today: date, by: User) -> None:
    """Put toppers and seals on the shelf, some for the orders of the year and a fresh lot."""
    for key, pieces, days_ago in (
        ("seal-knot", 200, 70),
        ("topper-shell", 40, 70),
        ("topper-star", 20, 70),
    ):
        made_on = today - timedelta(days=days_ago)
        make_part_lot(part=book.parts[key], pieces=pieces, made_on=made_on, use_by=made_on + timedelta(days=90), by=by)


def finish_order(order: Order, stage: str, batch_ids: list[int], *, today: date, by: User) -> None:
    """Weigh and check the order's bars on the rack, and take the order as far as its stage says."""
    batches = [batch for batch in Batch.objects.filter(pk__in=batch_ids) if batch.cut_on is not None]
    for batch in batches:
        weigh_weekly(batch, stage, today=today, by=by)
    if stage not in CHECKED:
        return
    for batch in batches:
        _check(batch, by=by)
    if stage == "review":
        return
    released_on = max(_released_on(batch) for batch in batches)
    for batch in for_rack(Batch.objects.filter(pk__in=batch_ids, cut_on__isnull=False)):
        release_batch(
            batch_id=batch.pk,
            words="Weights steady, titration clear, looks and smells as it should.",
            today=released_on,
            by=by,
            best_before=keeping_of(batch).best_before,
        )
        if stage == "ready":
            _weigh_lots(batch, on=released_on, by=by)
    allocate_bars(order_id=order.pk, today=released_on, by=by)
    if stage != "handed_over":
        take_balance(order, today=today, by=by)
    if stage != "ready":
        _hand_out(order, stage, on=min(today, released_on + DAYS_TO_PACK), by=by)


def _weigh_lots(batch: Batch, *, on: date, by: User) -> None:
    """Weigh the finished bars of the batch one by one, each a little different from the next."""
    assert batch.cut_on is not None
    plan = plan_of(batch)
    grams = {part.key: part.bar_grams for part in plan.parts}
    for finish, bars in bars_by_finish(batch, plan).items():
        parts = sum((grams.get(key, Decimal()) for key in finish.split("+")), Decimal())
        weights = [_weight(batch, number % len(MARKS), (on - batch.cut_on).days) + parts for number in range(bars)]
        shown = tuple(weight.quantize(Decimal("0.1")) for weight in weights)
        weigh_lot(batch_id=batch.pk, finish=finish, shown_grams=shown, on=on, today=on, by=by)


def _hand_out(order: Order, stage: str, *, on: date, by: User) -> None:
    pack_order(order_id=order.pk, by=by, on=on)
    if stage == "packed":
        return
    unpaid = "a shop that pays by the month" if stage == "handed_over" else ""
    hand_over(order_id=order.pk, by=by, on=on, unpaid_reason=unpaid)
    if stage == "closed":
        move_order(order_id=order.pk, to=OrderState.CLOSED, by=by)


def _released_on(batch: Batch) -> date:
    return (batch.poured_on or batch.pour_on) + RELEASED_AFTER


def weigh_weekly(batch: Batch, stage: str, *, today: date, by: User) -> None:
    """Weigh the marked bars at the cut and every week after it, up to the release or to today."""
    cut = batch.cut_on or batch.pour_on
    last = min(today, _released_on(batch)) if stage in CHECKED else today
    on = cut
    while on <= last:
        weights = {mark: _weight(batch, place, (on - cut).days) for place, mark in enumerate(MARKS)}
        weigh_bars(batch_id=batch.pk, weights=weights, on=on, today=on, by=by)
        on += WEEK


def _weight(batch: Batch, place: int, days: int) -> Decimal:
    """Return what a bar weighs so many days after the cut, to the tenth of a gram its scale shows."""
    water = plan_of(batch).water_percent_of_batch / 100
    all_loss = (water - SETTLED_WATER) / (1 - SETTLED_WATER)
    loss = all_loss * (1 - (-Decimal(days) / DRYING_DAYS).exp())
    fresh = (batch.mean_cut_bar_grams or Decimal(100)) * (1 + Decimal(place - 1) / 100)
    return (fresh * (1 - loss)).quantize(Decimal("0.1"))


def _check(batch: Batch, *, by: User) -> None:
    on = _released_on(batch)
    for reading in (
        CheckReading(method="looks", note="hard, even, no ash"),
        CheckReading(
            method="titration", acid_ml=Decimal("0.4"), acid_mol_per_l=Decimal("0.1"), soap_grams=Decimal("10")
        ),
    ):
        enter_check(batch_id=batch.pk, reading=reading, on=on, today=on, by=by)
