"""The pages of own soap: ends into stock, a rebatch, a batch made over, a mold filled from pots, a lot repacked."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from production.batch_states import BatchState
from production.batches.actions.after_pour import hold_batch
from production.batches.actions.bench import pour_batch
from production.batches.models import Batch
from production.leftovers.actions.scraps import stock_scraps
from production.stock.actions import receive_lot
from production.stock.models import Lot
from soapshop.models import User, Workshop
from tests.production.builders import TODAY, material, weighed_batch
from tests.production.leftovers_shop import CUT_ON, cut_with_weights, ends_of
from tests.production.stores_shop import assert_balanced


@pytest.fixture
def signed_in(client: Client, owner: User, workshop: Workshop, today) -> Client:
    client.force_login(owner)
    return client


def test_from_ends_to_a_planned_rebatch(signed_in: Client, owner: User):
    batch = cut_with_weights(owner)
    address = reverse("production:scraps-new", args=[batch.number])
    assert address in signed_in.get(batch.get_absolute_url()).content.decode()
    given = {"grams": "40", "what": "Ends", "on": CUT_ON.isoformat(), "typed_once": "c" * 32}
    for _ in range(2):  # a double tap
        assert signed_in.post(address, given).status_code == 302
    lot = Lot.objects.get(contents__isnull=False)
    assert lot.code in signed_in.get(reverse("production:own-soap")).content.decode()
    wish = {
        f"lot_{lot.pk}": "40",
        "material_0": material("aloe").name,
        "grams_0": "4",
        "design": batch.design_id,
        "mold": batch.mold_id,
        "mold_count": "1",
        "bars": "4",
        "cure_days": "28",
        "least_cure_days": "14",
        "pour_on": CUT_ON.isoformat(),
    }
    answer = signed_in.post(reverse("production:rebatch-new"), wish)
    assert answer.status_code == 302, answer.context["form"].errors
    rebatch = Batch.objects.get(revision=None)
    assert answer["Location"] == rebatch.get_absolute_url()
    page = signed_in.get(rebatch.get_absolute_url()).content.decode()
    assert f'<dt>Made of</dt><dd><a href="{batch.get_absolute_url()}">' in page
    assert_balanced()


def test_a_rebatch_of_nothing_is_refused_and_what_was_typed_stays(signed_in: Client, owner: User):
    batch = cut_with_weights(owner)
    ends_of(batch, owner, "40")
    answer = signed_in.post(reverse("production:rebatch-new"), {"material_0": "No such oil", "bars": "7"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "That is not among your materials." in page
    assert 'value="7"' in page
    assert not Batch.objects.filter(revision=None).exists()


def test_a_held_batch_is_made_over_from_its_page(signed_in: Client, owner: User):
    batch = cut_with_weights(owner)
    hold_batch(batch_id=batch.pk, reason="bites", by=owner)
    address = reverse("production:batch-rework", args=[batch.number])
    assert address in signed_in.get(batch.get_absolute_url()).content.decode()
    signed_in.post(address, {"grams": "900", "words": "more fat"})
    batch.refresh_from_db()
    assert (batch.state, batch.became.get().lot.grams_left) == (BatchState.REWORKED, Decimal(900))


def test_a_pot_is_poured_on_from_its_page(signed_in: Client, owner: User):
    pot, _ = weighed_batch(owner)
    address = reverse("production:fill-mold", args=[pot.number])
    assert address in signed_in.get(pot.get_absolute_url()).content.decode()
    answer = signed_in.post(address, {f"pot_{pot.pk}": "500", "mold": pot.mold_id, "mold_count": "1", "bars": "5"})
    second = Batch.objects.get(number=f"{pot.number}-B")
    assert answer["Location"] == second.get_absolute_url()
    assert (
        f'Went on into</dt><dd><a href="{second.get_absolute_url()}">'
        in signed_in.get(pot.get_absolute_url()).content.decode()
    )


def test_more_than_the_pot_holds_is_refused_on_the_form(signed_in: Client, owner: User):
    pot, _ = weighed_batch(owner)
    address = reverse("production:fill-mold", args=[pot.number])
    answer = signed_in.post(address, {f"pot_{pot.pk}": "9000", "mold": pot.mold_id, "mold_count": "1", "bars": "5"})
    assert answer.status_code == 422
    assert "are not in a mold yet" in answer.content.decode()


def test_a_lot_is_repacked_into_tubs_that_name_it(signed_in: Client, owner: User):
    lot = receive_lot(material=material("olive"), received_on=TODAY, grams=Decimal(1000), by=owner, supplier_lot="K7")
    address = reverse("production:lot-repack", args=[lot.code])
    assert address in signed_in.get(lot.get_absolute_url()).content.decode()
    given = {f"lot_{lot.pk}": "900", "tubs": "500 g\n400 g", "typed_once": "d" * 32}
    for _ in range(2):  # a double tap
        assert signed_in.post(address, given).status_code == 302
    lot.refresh_from_db()
    tubs = list(Lot.objects.exclude(pk=lot.pk).order_by("pk"))
    assert [(tub.grams_left, tub.supplier_lot, tub.origins.get().from_lot) for tub in tubs] == [
        (Decimal(500), "K7", lot),
        (Decimal(400), "K7", lot),
    ]
    assert lot.grams_left == Decimal(100)
    assert_balanced()


def test_two_tubs_go_into_one(signed_in: Client, owner: User):
    one, two = (
        receive_lot(material=material("olive"), received_on=TODAY, grams=Decimal(grams), by=owner)
        for grams in (300, 200)
    )
    address = reverse("production:lot-repack", args=[one.code])
    signed_in.post(address, {f"lot_{one.pk}": "300", f"lot_{two.pk}": "200"})
    tub = Lot.objects.exclude(pk__in=(one.pk, two.pk)).get()
    assert (tub.grams_left, {origin.from_lot for origin in tub.origins.all()}) == (Decimal(500), {one, two})


@pytest.mark.parametrize(
    ("given", "words"),
    (({"tubs": "500 g\n500 g"}, "are taken out, but the tubs hold"), ({"tubs": "a lot"}, "a lot"), ({}, "")),
)
def test_a_repacking_that_loses_grams_is_refused(signed_in: Client, owner: User, given: dict, words: str):
    lot = receive_lot(material=material("olive"), received_on=TODAY, grams=Decimal(1000), by=owner)
    taken = {f"lot_{lot.pk}": "900"} if given else {}
    answer = signed_in.post(reverse("production:lot-repack", args=[lot.code]), taken | given)
    assert answer.status_code == (422 if given else 200)
    assert words in answer.content.decode()
    assert Lot.objects.count() == 1


def test_a_hold_shows_what_it_covers(signed_in: Client, owner: User):
    pot, _ = weighed_batch(owner)
    pour_batch(batch_id=pot.pk, on=TODAY, by=owner)
    ends = stock_scraps(batch_id=pot.pk, grams=Decimal(20), what="", on=TODAY, by=owner)
    order = pot.serves.get().line.order
    hold_batch(batch_id=pot.pk, reason="lye", by=owner)
    page = signed_in.get(pot.get_absolute_url()).content.decode()
    shown = [
        page.count(text) > 0 for text in ("What the hold covers", ends.code, order.number, "Last day to pour again")
    ]
    assert shown == [True] * 4
