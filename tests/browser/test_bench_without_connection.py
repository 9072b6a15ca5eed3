"""The bench in a real browser while the connection is lost: nothing typed is lost, and it counts once.

A context of its own: that the network is away is a console error, which the shared page takes for a fault.
"""

import pytest

from production.models import Batch
from production.stock.models import StockMove
from tests.browser.conftest import PHONE
from tests.production.builders import planned_batch, stock_lots


@pytest.fixture
def phone(browser, live_server, shop_owner, sign_in):
    batch = planned_batch(shop_owner)
    stock_lots(shop_owner, batch)
    context = browser.new_context(base_url=live_server.url, viewport=PHONE)
    context.set_default_timeout(15_000)
    page = context.new_page()
    sign_in(page)
    page.goto(batch.get_absolute_url())
    page.get_by_role("button", name="Start the weigh-out").click()
    page.get_by_role("heading", name="Weigh next").wait_for()
    yield page
    context.close()


def test_what_was_typed_outlasts_reload_and_lost_connection_and_counts_once(phone):
    first = Batch.objects.get().weighings.first()
    grams = f"{first.planned_grams.normalize():f}"
    phone.get_by_role("radio").first.check()
    phone.get_by_label("The scale shows").fill(grams)
    phone.reload()
    assert phone.get_by_label("The scale shows").input_value() == grams
    phone.context.set_offline(True)
    phone.get_by_role("button", name="Weighed").click()
    phone.get_by_text("Kept on this device").wait_for()
    assert not StockMove.objects.filter(kind=StockMove.Kind.DRAW).exists()
    phone.context.set_offline(False)
    phone.locator(f'form[data-keep="weigh-{first.pk}"]').wait_for(state="detached")
    first.refresh_from_db()
    assert first.actual_grams == first.planned_grams
    assert StockMove.objects.filter(kind=StockMove.Kind.DRAW).count() == 1
