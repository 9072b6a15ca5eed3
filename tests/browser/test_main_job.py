"""The whole job in a real browser: from the sign-in over order, plan, bench, rack and release to the label PDF."""

from datetime import date, timedelta
from io import StringIO

import pytest
from django.core.management import call_command

from orders.models import Order
from orders.order_states import OrderState
from production.batch_states import BatchState
from production.demo.book import write_book
from production.demo.rack import make_parts
from production.demo.shelf import fill_shelf, set_up_workshop
from production.demo.tried import mix_blends
from production.models import Batch, LabelPrint
from soapshop.clock import workshop_today
from tests.conftest import PASSWORD

BARS = 10
CURED = timedelta(days=50)


@pytest.fixture
def shop(shop_owner):
    """A shop with materials, lots, formulas and designs, and no order yet."""
    call_command("load_reference", stdout=StringIO())
    set_up_workshop(by=shop_owner)
    today = workshop_today()
    shelf = fill_shelf(today=today, by=shop_owner)
    book = write_book(shelf, mix_blends(shelf, by=shop_owner), by=shop_owner)
    make_parts(book, today=today, by=shop_owner)
    return book


def test_the_main_job_from_sign_in_to_label_pdf(shop, page, live_server):
    today = workshop_today()
    poured = today - CURED
    sign_in(page)
    take_order(page, needed_by=today + timedelta(days=60))
    batch = plan_and_start(page)
    weigh_everything(page)
    pour_and_cut(page, poured=poured)
    cure(page, batch, poured=poured, today=today)
    release(page, batch)
    reserve(page)
    pdf = print_labels(page, batch)
    assert pdf.startswith(b"%PDF-")
    assert LabelPrint.objects.get().batch.number == batch
    assert Batch.objects.get().state == BatchState.RELEASED
    assert Order.objects.get().state == OrderState.READY


def press(button):
    """Press a button that leads to a page, and wait until that page is there."""
    with button.page.expect_navigation():
        button.click()


def sign_in(page):
    page.goto("/")
    page.get_by_label("Name", exact=False).first.fill("owner")
    page.get_by_label("Password").fill(PASSWORD)
    press(page.get_by_role("button", name="Sign in"))
    page.get_by_role("navigation").first.wait_for()


def take_order(page, *, needed_by: date):
    page.goto("/orders/new/")
    page.get_by_label("New customer's name").fill("Maren Holloway")
    page.get_by_label("Needed in hand by").fill(needed_by.isoformat())
    page.locator("[name=lines-0-design]").select_option(label="Harbor Stripe")
    page.locator("[name=lines-0-bars]").fill(str(BARS))
    press(page.get_by_role("button", name="Write it in the book"))
    press(page.get_by_role("button", name="Quote sent"))
    press(page.get_by_role("button", name="Customer accepted"))


def plan_and_start(page) -> str:
    page.goto(f"/plan/orders/{Order.objects.get().number}/")
    page.get_by_label("Pour on").fill(workshop_today().isoformat())
    press(page.get_by_role("button", name="Plan these batches"))
    batch = Batch.objects.get()
    page.goto(batch.get_absolute_url())
    press(page.get_by_role("button", name="Start the weigh-out"))
    return batch.number


def weigh_everything(page):
    for weighing in Batch.objects.get().weighings.all():
        page.get_by_role("heading", name="Weigh next").wait_for()
        page.get_by_role("radio").first.check()
        page.get_by_label("The scale shows").fill(f"{weighing.planned_grams.normalize():f}")
        page.get_by_role("button", name="Weighed").click()
        page.locator(f'form[data-keep="weigh-{weighing.pk}"]').wait_for(state="detached")
    page.get_by_role("heading", name="Pour", exact=True).wait_for()


def pour_and_cut(page, *, poured: date):
    page.get_by_label("Poured on").fill(poured.isoformat())
    press(page.get_by_role("button", name="It is in the molds"))
    page.get_by_label("Cut on").fill((poured + timedelta(days=1)).isoformat())
    page.get_by_label("Good bars: Knot seal").fill(str(BARS))
    page.get_by_label("Good bars: Plain").fill("2")
    page.get_by_label("A fresh bar weighs").fill("140")
    press(page.get_by_role("button", name="Lay them on the rack"))


def cure(page, batch: str, *, poured: date, today: date):
    page.goto(f"/cure/{batch}/")
    for days, grams in ((1, "140"), (43, "124.6"), (50, "124.1")):
        page.get_by_label("Weighed on").fill((poured + timedelta(days=days)).isoformat())
        page.get_by_label("Bar 1").fill(grams)
        press(page.get_by_role("button", name="Note the weights"))
    page.get_by_text("Enter: Looks and hardness").click()
    press(page.locator("form[action*='/check/looks/']").get_by_role("button"))
    page.get_by_text("Enter: Titration in alcohol").click()
    titration = page.locator("form[action*='/check/titration/']")
    titration.locator("[name$=acid_ml]").fill("0.4")
    titration.locator("[name$=acid_mol_per_l]").fill("0.1")
    titration.locator("[name$=soap_grams]").fill("10")
    press(titration.get_by_role("button"))


def release(page, batch: str):
    page.goto(f"/cure/{batch}/")
    form = page.locator("form[action*='/release/']")
    form.locator("[name$=words]").fill("Steady, titration clear, looks good.")
    press(form.get_by_role("button"))
    assert Batch.objects.get().state == BatchState.RELEASED


def reserve(page):
    page.goto(Order.objects.get().get_absolute_url())
    press(page.get_by_role("button", name="Reserve bars"))


def print_labels(page, batch: str) -> bytes:
    page.goto(f"/labels/{batch}/?finish=knot-seal")
    press(page.get_by_role("button", name="Print the labels"))
    link = page.get_by_role("link", name="Print again (PDF)")
    link.wait_for()
    return page.request.get(link.get_attribute("href")).body()
