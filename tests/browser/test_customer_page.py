"""A customer without an account approves the sheet in a real browser."""

from orders.agreement.actions import make_proof
from orders.customer_page.actions import link_key, open_link
from orders.models import Proof
from soapshop.clock import workshop_today
from tests.orders.money_builders import build_order


def test_the_customer_approves_on_the_own_page(shop_owner, page, live_server):
    order, today = build_order(by=shop_owner), workshop_today()
    make_proof(order_id=order.pk, by=shop_owner, today=today)
    link = open_link(order_id=order.pk, expires_on=None, by=shop_owner, today=today)
    page.goto(f"/agreed/{link_key(link)}/")
    page.get_by_label("Your name").fill("Łucja 小明")
    page.get_by_role("button", name="I approve version 1").click()
    page.get_by_text("Approved").wait_for()
    assert Proof.objects.get().approved_by_name == "Łucja 小明"
