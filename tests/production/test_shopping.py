"""The shopping list: whole packs, from whom, and by when the order has to go out."""

from datetime import timedelta
from decimal import Decimal as D
from math import ceil

import pytest

from production.lot_states import LotState
from production.shopping.actions import remove_offer, save_offer
from production.shopping.models import Offer
from production.shopping.packs import Pack, packs_for
from production.shopping.reads import shopping_list
from production.stock.actions import StockRefusal, receive_lot, save_supplier
from production.stock.models import Lot
from tests.production.builders import TODAY, planned_batch


@pytest.mark.parametrize(
    ("missing", "packs", "count", "grams"),
    (
        pytest.param("1", [("5000", None)], 1, "5000", id="one gram missing is one pack"),
        pytest.param("5000", [("5000", None)], 1, "5000", id="just one pack"),
        pytest.param("5000.001", [("5000", None)], 2, "10000", id="a milligram more is two"),
        pytest.param("9000", [("5000", "40"), ("1000", "7")], 9, "9000", id="9 x 7 = 63 is less than 2 x 40 = 80"),
        pytest.param("9000", [("5000", "30"), ("1000", "7")], 2, "10000", id="2 x 30 = 60 is less than 9 x 7 = 63"),
        pytest.param("900", [("5000", None), ("1000", None)], 1, "1000", id="no price: what leaves least over"),
        pytest.param("900", [("5000", "9"), ("1000", None)], 1, "5000", id="a price is known before one that is not"),
    ),
)
def test_packs_cover_what_is_missing(missing, packs, count, grams):
    """Worked by hand."""
    bought = packs_for(D(missing), [Pack(D(grams), None if price is None else D(price)) for grams, price in packs])
    assert (bought.count, bought.grams) == (count, D(grams))


def test_nothing_on_offer_buys_nothing():
    assert packs_for(D(10), []) is None


@pytest.fixture
def short(owner, workshop):
    """A batch is planned, and of one of its oils only a few grams are on the shelf, from a supplier of nine days."""
    batch = planned_batch(owner)
    line = batch.weighings.filter(phase="oils").first()
    supplier = save_supplier(name="Quarry Oils", lead_days=9, by=owner)
    lot = receive_lot(material=line.material, received_on=TODAY, grams=D(10), supplier=supplier, by=owner)
    Lot.objects.filter(pk=lot.pk).update(status=LotState.RELEASED.value)
    return batch, line, supplier


def found(material, *, today):
    return next(
        (errand, wanted)
        for errand in shopping_list(today=today).errands
        for wanted in errand.wanted
        if wanted.row.material == material
    )


def test_a_line_says_packs_price_and_the_last_day_to_order(short, owner):
    batch, line, supplier = short
    save_offer(supplier_id=supplier.pk, material=line.material, pack_grams=D(500), price=D("4.50"), by=owner)
    errand, wanted = found(line.material, today=TODAY - timedelta(days=20))
    missing = line.planned_grams - 10
    packs = ceil(missing / 500)
    assert (errand.supplier, wanted.missing_grams) == (supplier, missing)
    assert (wanted.bought.count, wanted.bought.price) == (packs, packs * D("4.50"))
    assert wanted.order_by == batch.pour_on - timedelta(days=9)
    assert not wanted.is_too_late(TODAY - timedelta(days=9))
    assert wanted.is_too_late(TODAY - timedelta(days=8))


def test_what_nobody_is_known_for_stands_apart_and_last(short):
    *_, last = shopping_list(today=TODAY).errands
    assert last.supplier is None
    assert last.price is None


def test_another_suppliers_pack_is_taken_where_the_last_one_lists_none(short, owner):
    _, line, _ = short
    other = save_supplier(name="Second Oils", lead_days=2, by=owner)
    save_offer(supplier_id=other.pk, material=line.material, pack_grams=D(1000), by=owner)
    errand, wanted = found(line.material, today=TODAY)
    assert (errand.supplier, wanted.bought.price, errand.price) == (other, None, None)


def test_nothing_is_wanted_when_nothing_is_planned(owner, workshop):
    assert shopping_list(today=TODAY).things == 0


def test_an_offer_is_kept_once_and_taken_off(short, owner):
    _, line, supplier = short
    for price in ("4", "5"):
        offer = save_offer(supplier_id=supplier.pk, material=line.material, pack_grams=D(500), price=D(price), by=owner)
    assert Offer.objects.get().price == D(5)
    with pytest.raises(StockRefusal, match="weighs more than nothing"):
        save_offer(supplier_id=supplier.pk, material=line.material, pack_grams=D("0.0001"), by=owner)
    remove_offer(offer_id=offer.pk, by=owner)
    remove_offer(offer_id=offer.pk, by=owner)
    assert not Offer.objects.exists()


def test_the_pages(short, owner_client):
    _, line, supplier = short
    address = f"/stores/suppliers/{supplier.pk}/packs/"
    typed = {"material": line.material.name.upper(), "pack_grams": "5 kg", "price": "38.50"}
    assert owner_client.post(address, typed).status_code == 302
    page = owner_client.get("/stores/shopping/").content.decode()
    assert [words in page for words in ("Quarry Oils", "1 × ", "38.50")] == [True, True, True]
    for wrong in ({"material": "Moonlight"}, {"pack_grams": "five"}, {"price": "-1"}, {"pack_grams": ""}):
        assert owner_client.post(address, typed | wrong).status_code == 422
    offer = Offer.objects.get()
    assert owner_client.post(f"{address}{offer.pk}/remove/").status_code == 302
    assert owner_client.post(f"{address}{offer.pk}/remove/").status_code == 404
