"""What bars cost by their own lots, and what production tells the order book. Worked by hand."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from formulas.models import Part, PartIngredient
from orders.actions import move_order
from orders.agreement.pour_days import change_cut_off
from orders.interchange.days import feed_days
from orders.models import HouseTerms, Order
from orders.order_states import OrderState
from production.costing.for_orders import batch_days, pour_day
from production.costing.month import month_margin
from production.costing.pots import bars_sold, batch_pot, design_pot
from production.costing.prices import lot_price_per_gram, part_price, todays_prices
from production.costing.reads import order_cost
from production.stock.actions import receive_lot
from production.stock.models import Lot
from soapshop.models import AuditEvent
from tests.production.builders import TODAY, cut_of, make_design, make_order, make_part, material, planned_batch


def price_every_lot(price: str = "20.00", freight: str = "5.00") -> None:
    Lot.objects.update(price=Decimal(price), freight=Decimal(freight), received_grams=Decimal(5000))


@pytest.mark.parametrize(
    ("price", "freight", "each"),
    (("20.00", "5.00", "0.005"), ("20.00", None, "0.004"), (None, "5.00", None)),
)
def test_a_gram_carries_its_freight(owner, price, freight, each):
    lot = receive_lot(
        material=material("olive"),
        received_on=TODAY,
        grams=Decimal(5000),
        price=Decimal(price) if price else None,
        freight=Decimal(freight) if freight else None,
        by=owner,
    )
    assert lot_price_per_gram(lot) == (Decimal(each) if each else None)


def test_todays_price_is_the_newest_delivery_with_a_price(owner):
    olive = material("olive")
    for days, price in ((0, "10.00"), (5, "20.00"), (9, None)):
        receive_lot(
            material=olive,
            received_on=TODAY + timedelta(days=days),
            grams=Decimal(1000),
            price=Decimal(price) if price else None,
            by=owner,
        )
    assert todays_prices([olive.pk])[olive.pk] == Decimal("0.02")


def test_a_batch_is_costed_at_what_its_own_lots_cost(owner, workshop):
    batch = cut_of(owner)
    price_every_lot()
    terms = HouseTerms.current()
    pot = batch_pot(batch, workshop=workshop, terms=terms)
    weighed = sum(row.actual_grams for row in batch.weighings.all())
    materials = sum(line.amount for line in pot.sheet.lines if line.words.endswith(" g"))
    assert materials == weighed * Decimal("0.005")
    assert pot.sheet.minutes >= Decimal(terms.batch_minutes) + terms.bar_minutes * batch.bars_cut
    # a dearer delivery that comes later does not touch what the batch cost, only what it would cost today
    olive = batch.weighings.filter(material__name=material("olive").name).first().material
    receive_lot(material=olive, received_on=date(2026, 9, 1), grams=Decimal(1000), price=Decimal(90), by=owner)
    assert batch_pot(batch, workshop=workshop, terms=terms).sheet.total == pot.sheet.total
    planned = design_pot(batch.design, workshop=workshop, terms=terms)
    assert next(line for line in planned.sheet.lines if line.name == olive.name).per_bar > Decimal("1")


def test_a_lot_without_a_price_is_named_and_not_guessed(owner, workshop):
    batch = cut_of(owner)
    price_every_lot()
    mica = Lot.objects.get(material=material("mica"))
    Lot.objects.filter(pk=mica.pk).update(price=None)
    pot = batch_pot(batch, workshop=workshop, terms=HouseTerms.current())
    assert mica.material.name in pot.sheet.unpriced
    assert not pot.sheet.is_complete


def test_a_part_costs_what_goes_into_it(owner):
    part = make_part("shell", "topper")  # 4 g a piece
    olive = material("olive")
    assert part_price(part, {olive.pk: Decimal("0.01")}) is None
    PartIngredient.objects.create(part=part, material=olive, percent=Decimal(50))
    assert part_price(part, {olive.pk: Decimal("0.01")}) == Decimal("0.02")
    assert part_price(part, {}) is None


@pytest.mark.parametrize(
    ("made", "sold"),
    # 10 % and at least 2 spares: 10 + 2 = 12; 36 + 4 = 40; of 2 bars none can be promised
    ((12, 10), (40, 36), (2, 0)),
)
def test_spares_are_carried_by_the_bars_that_are_sold(workshop, made, sold):
    assert bars_sold(made, workshop) == sold


def test_the_order_shows_margin_and_pay_at_its_price(owner, workshop):
    batch = cut_of(owner, price_per_bar=Decimal("9.00"))
    price_every_lot()
    order = Order.objects.for_page().get(lines__planned_in__batch=batch)
    cost = order_cost(order, today=TODAY)
    line = cost.lines[0]
    assert line.net_price == Decimal("9.00")
    assert line.margin.per_bar == Decimal("9.00") - line.pots[0].sheet.per_bar
    assert cost.margin == line.margin.per_bar * line.line.bars
    assert line.suggestion is not None


def test_a_freight_bill_is_shared_by_the_shops_rule(owner_client, owner):
    for price, grams in (("30.00", 1000), ("10.00", 3000)):
        receive_lot(material=material("olive"), received_on=TODAY, grams=Decimal(grams), price=Decimal(price), by=owner)
    url, lots = reverse("production:freight-share"), list(Lot.objects.order_by("pk"))
    for rule, parts in (("value", ["7.50", "2.50"]), ("weight", ["2.50", "7.50"])):
        HouseTerms.current()
        HouseTerms.objects.update(freight_rule=rule)
        assert owner_client.post(url, {"freight": "10", "lots": [lot.pk for lot in lots]}).status_code == 302
        assert [lot.freight for lot in Lot.objects.order_by("pk")] == [Decimal(part) for part in parts]
    refused = owner_client.post(url, {"freight": "ten"})
    assert refused.context["form"].errors["freight"] == ["Type an amount such as 48.50."]
    assert refused.context["form"].errors["lots"] == ["Tick the lots that came with this bill."]


def test_an_unapproved_formula_says_so_instead_of_a_figure(owner, workshop):
    design = make_design(owner)
    design.formula.revisions.update(status="draft")
    pot = design_pot(design, workshop=workshop, terms=HouseTerms.current())
    assert pot.sheet is None
    assert pot.refusal == "Its formula is not approved. Approve it, then look again."


def test_the_cut_off_counts_from_the_planned_pour(owner, workshop):
    order = make_order(owner, make_design(owner))
    before = change_cut_off(order, workshop=workshop, cut_off_days=7)
    assert before == order.needed_by - timedelta(days=workshop.pack_days + workshop.cure_days + 7)
    assert pour_day(order) is None


def test_the_pour_moves_the_cut_off(owner, workshop):
    batch = planned_batch(owner)
    order = Order.objects.get(lines__planned_in__batch=batch)
    assert pour_day(order) == TODAY
    assert change_cut_off(order, workshop=workshop, cut_off_days=7) == TODAY - timedelta(days=7)


def test_the_calendar_has_the_days_of_the_bench(owner, workshop):
    batch = cut_of(owner)
    titles = [day.title for day in feed_days(TODAY)]
    assert f"Pour {batch.number}, {batch.design.name}" in titles
    assert f"Cure over: {batch.number}, {batch.design.name}" in titles
    assert list(batch_days(TODAY - timedelta(days=40), TODAY - timedelta(days=30))) == []


def test_the_pages_show_it(owner_client, owner):
    batch = cut_of(owner, price_per_bar=Decimal("9.00"))
    price_every_lot()
    order = Order.objects.get(lines__planned_in__batch=batch)
    assert owner_client.get(reverse("production:order-cost", args=[order.number])).status_code == 200
    assert owner_client.get(reverse("production:order-cost", args=["9999"])).status_code == 404
    assert "What a bar costs" in owner_client.get(batch.design.get_absolute_url()).content.decode()
    assert owner_client.get(reverse("orders:money")).status_code == 200


def test_the_margin_of_the_month_counts_orders_handed_over_in_it(owner, workshop):
    batch = cut_of(owner, price_per_bar=Decimal("9.00"))
    price_every_lot()
    order = Order.objects.get(lines__planned_in__batch=batch)
    for part in Part.objects.all():
        PartIngredient.objects.create(part=part, material=material("olive"), percent=Decimal(100))
    for stage in (OrderState.READY, OrderState.PACKED, OrderState.HANDED_OVER):
        move_order(order_id=order.pk, to=stage, by=owner)
    AuditEvent.objects.update(at=datetime(2026, 8, 6, 18, tzinfo=UTC))
    august = month_margin(date(2026, 8, 1), date(2026, 8, 31), today=TODAY)
    expected = order_cost(Order.objects.for_page().get(pk=order.pk), today=TODAY).margin
    assert [(row.order.number, row.margin) for row in august.rows] == [(order.number, expected)]
    assert month_margin(date(2026, 7, 1), date(2026, 7, 31), today=TODAY).rows == ()
