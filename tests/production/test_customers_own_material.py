"""What a customer brings is weighed out for that order alone, costs nothing, and is planned with nothing else."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from orders.models import Order
from production.batches.actions.bench import start_batch, weigh_line
from production.batches.actions.planning import plan_batches
from production.batches.asked import BatchRefusal
from production.batches.reads import batch_page
from production.plan.records import shop_plan
from production.stock.actions import StockRefusal, draw_from_lot, receive_lot
from production.stock.models import Lot
from tests.production.builders import make_customer, make_design, make_order

pytestmark = pytest.mark.django_db


@pytest.fixture
def today():
    return timezone.localdate()


@pytest.fixture
def order(owner, workshop, today):
    return make_order(owner, make_design(owner), 10, needed_by=today + timedelta(days=120))


@pytest.fixture
def other(owner, order, today):
    design = order.lines.get().design
    return make_order(owner, design, 10, customer=make_customer(owner), needed_by=today + timedelta(days=120))


def olive_of(order: Order):
    return order.lines.get().design.formula.revisions.get().lines.get(material__name="Olive oil").material


def brought(order: Order, today, owner) -> Lot:
    return receive_lot(material=olive_of(order), received_on=today, grams=Decimal(9000), by=owner, belongs_to=order)


def batch_of(order: Order, today, owner):
    return plan_batches(order_id=order.pk, today=today, by=owner)[0]


def test_it_is_offered_and_drawn_for_its_order_alone(owner, order, other, today):
    lot = brought(order, today, owner)
    mine, theirs = batch_of(order, today, owner), batch_of(other, today, owner)
    for batch in (mine, theirs):
        start_batch(batch_id=batch.pk, by=owner)
        batch.refresh_from_db()
    offered = [
        {
            each.pk
            for line in batch_page(batch, today=today).lines
            if line.weighing.material == lot.material
            for each in line.lots
        }
        for batch in (mine, theirs)
    ]
    assert offered == [{lot.pk}, set()]
    line = theirs.weighings.get(material=lot.material)
    with pytest.raises(BatchRefusal, match=f"{lot.code} is the customer's own and kept for {order}"):
        weigh_line(weighing_id=line.pk, lot_code=lot.code, grams=line.planned_grams, on=today, by=owner)
    line = mine.weighings.get(material=lot.material)
    weigh_line(weighing_id=line.pk, lot_code=lot.code, grams=line.planned_grams, on=today, by=owner)
    lot.refresh_from_db()
    assert lot.grams_left == Decimal(9000) - line.planned_grams
    with pytest.raises(StockRefusal, match="kept for"):
        draw_from_lot(lot_id=lot.pk, grams=Decimal(1), on=today, by=owner, batch_id=None)


def test_it_costs_nothing_unless_a_price_is_given(owner, order, today):
    assert brought(order, today, owner).price == 0
    bought = receive_lot(material=olive_of(order), received_on=today, grams=Decimal(10), by=owner)
    assert bought.price is None


def test_the_planner_draws_it_for_the_design_of_that_order_alone(owner, order, other, today):
    brought(order, today, owner)

    def own_supplies():
        return [(each.ingredient, each.on_hand_mg) for each in shop_plan(today=today).asked.supplies]

    name = f"Olive oil, the customer's own ({order.pk})"
    assert own_supplies() == [("Olive oil", 0)]
    Order.objects.filter(pk=other.pk).update(status="cancelled")
    assert sorted(own_supplies()) == [("Olive oil", 0), (name, 9_000_000)]
    (design,) = shop_plan(today=today).asked.designs
    assert name in dict(design.uses)
    assert "Olive oil" not in dict(design.uses)


@pytest.mark.parametrize(("number", "sentence"), [("99999", "There is no order 99999."), ("", "")])
def test_the_receive_page_asks_for_an_order_that_is_there(owner_client, owner, order, today, number, sentence):
    page = reverse("production:lot-receive")
    typed = {"material": "Olive oil", "grams": "5 kg", "received_on": today.isoformat()}
    form = owner_client.post(page, typed | {"belongs_to": number}).context
    assert (form is None) is (sentence == "")
    if form is not None:
        assert form["form"].errors["belongs_to"][0].startswith(sentence)
        assert not Lot.objects.exists()
        owner_client.post(page, typed | {"belongs_to": f" #{order.number} "})
        lot = Lot.objects.get()
        assert lot.belongs_to == order
        assert f'for <a href="{order.get_absolute_url()}">' in owner_client.get(lot.get_absolute_url()).content.decode()
