"""What production adds to the pages of orders, designs, revisions, materials and parts."""

from datetime import timedelta

import pytest
from django.utils import timezone

from orders.models import Order
from production import panels
from production.batches.actions.planning import plan_batches
from production.stock.actions import make_part_lot
from production.stock.models import Lot
from soapshop.panels import panels_for
from tests.production.cure_builders import make_cut, make_design, make_order
from tests.production.stores_shop import lot, material, part

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def today(workshop):
    """The day that a page of this shop shows: panels are built while its time zone is on."""
    with timezone.override(workshop.time_zone):
        yield timezone.localdate()


def read(order: Order) -> Order:
    return Order.objects.for_page().get(pk=order.pk)


def test_an_accepted_order_without_batches_leads_to_the_plan(owner_client, owner, today):
    order = make_order(make_design(owner), 10, needed_by=today + 90 * DAY, by=owner)
    html = owner_client.get(f"/orders/{order.number}/making/").content.decode()
    assert "10 bars of Dune are in no batch yet." in html
    assert "Plan the batches</a>" in html


def test_a_planned_order_shows_its_batches_and_asks_no_more(owner_client, owner, today):
    order = make_order(make_design(owner), 10, needed_by=today + 90 * DAY, by=owner)
    batch = plan_batches(order_id=order.pk, today=today, by=owner)[0]
    html = owner_client.get(f"/orders/{order.number}/making/").content.decode()
    assert batch.get_absolute_url() in html
    assert "Plan the batches</a>" not in html
    assert [row.bars for row in panels.order_batches(read(order)).context["batches"]] == [10]


def test_a_poured_batch_says_which_day_of_its_cure_it_is(owner, today):
    order = make_order(make_design(owner), 10, needed_by=today + 90 * DAY, by=owner)
    make_cut(order, by=owner, poured_on=today - 9 * DAY)
    row = panels.order_batches(read(order)).context["batches"][0]
    assert row.days_text == "day 9 of 42"


def test_an_order_long_gone_has_no_panel(owner, today):
    order = make_order(make_design(owner), 10, needed_by=today + 90 * DAY, by=owner)
    Order.objects.filter(pk=order.pk).update(status="cancelled")
    assert panels.order_batches(read(order)) is None


def test_a_design_and_its_revision_show_the_last_ten_batches(owner, today):
    design = make_design(owner)
    assert panels.design_batches(design) is None
    for _ in range(11):
        order = make_order(design, 4, needed_by=today + 90 * DAY, by=owner)
        batch = plan_batches(order_id=order.pk, today=today, by=owner)[0]
    found = panels.design_batches(design).context
    assert (len(found["batches"]), found["has_more"]) == (10, True)
    assert panels.revision_batches(batch.revision).context["batches"][0].batch == batch


def test_a_material_shows_its_lots_and_what_may_be_weighed_out(owner, today):
    keeps = lot(owner, "300", on=today)
    soon = lot(owner, "200", on=today, expires_on=today)
    lot(owner, "100", on=today - 9 * DAY, expires_on=today - DAY)
    empty = lot(owner, "50", on=today)
    Lot.objects.filter(pk=empty.pk).update(grams_left=0, status="used_up")
    lot(owner, "999", of=material("Palm oil"), on=today)
    found = panels.material_lots(material()).context
    assert [row.lot for row in found["rows"]][1:] == [soon, keeps]
    assert (found["usable"], found["all"]) == (500, 600)


def test_a_part_shows_its_lots(owner, today):
    seal = part()
    assert list(panels.part_lots(seal).context["lots"]) == []
    made = make_part_lot(part=seal, pieces=4, made_on=today, use_by=None, by=owner)
    assert list(panels.part_lots(seal).context["lots"]) == [made]


@pytest.mark.parametrize(
    ("place", "builder"),
    (
        ("orders.making", panels.order_batches),
        ("formulas.design", panels.design_batches),
        ("formulas.revision", panels.revision_batches),
        ("formulas.material", panels.material_lots),
        ("formulas.part", panels.part_lots),
    ),
)
def test_each_panel_is_at_its_place(place, builder):
    from soapshop.panels import _builders

    assert builder in _builders[place]


def test_a_material_page_carries_the_panel(owner_client, owner, today):
    got = lot(owner, on=today)
    assert len(panels_for("formulas.material", got.material)) >= 1
    assert got.code in owner_client.get(got.material.get_absolute_url()).content.decode()
