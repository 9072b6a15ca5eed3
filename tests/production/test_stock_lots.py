"""Lots of materials: received, released, drawn, weighed back, thrown away; each refusal beside a case that passes."""

import random
from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction

from production.lot_states import MOVES, LotState
from production.stock.actions import (
    StockRefusal,
    change_supplier,
    draw_from_lot,
    give_back,
    move_lot,
    receive_lot,
    save_supplier,
    set_use_by,
    throw_away,
    weigh_back,
)
from production.stock.models import Lot, StockMove, Supplier
from soapshop.models import AuditEvent
from tests.production.stores_shop import RECEIVED, TODAY, assert_balanced, lot, material

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def draw(of: Lot, grams: str, by, *, on: date = TODAY) -> Lot:
    return draw_from_lot(lot_id=of.pk, grams=Decimal(grams), on=on, by=by, batch_id=None)


def refused(act) -> str:
    with pytest.raises(StockRefusal) as caught:
        act()
    return str(caught.value)


def test_a_delivery_becomes_a_released_lot_with_its_first_move(workshop, owner):
    got = lot(owner, "25000", supplier_lot="  AB-7 ")
    assert (got.code, got.status, got.grams_left, got.supplier_lot) == ("L26-001", "released", Decimal(25000), "AB-7")
    assert [(move.kind, move.grams) for move in got.moves.all()] == [("receipt", Decimal(25000))]
    assert AuditEvent.objects.filter(verb="receive_lot").count() == 1


def test_quarantine_and_damage_come_before_release(workshop, owner):
    workshop.releases_lots_on_receipt = False
    workshop.save()
    assert lot(owner).status == "quarantine"
    damaged = lot(owner, is_damaged=True)
    assert (damaged.status, damaged.hold_reason) == ("held", "The pack came damaged.")


def test_a_lot_without_a_supplier_lot_says_so(workshop, owner):
    assert lot(owner, supplier_lot=" ").supplier_lot == "none given"
    assert not lot(owner).has_supplier_lot


def test_the_same_form_sent_twice_gives_one_lot(workshop, owner):
    once = uuid4()
    assert lot(owner, typed_once=once).pk == lot(owner, typed_once=once).pk
    assert lot(owner, typed_once=uuid4()).code == "L26-002"


@pytest.mark.parametrize(
    ("change", "words"),
    (
        ({"grams": Decimal(0)}, "A delivery weighs more than nothing. Type the grams received."),
        (
            {"expires_on": RECEIVED - DAY},
            "This lot was out of date when it came. Send it back, or correct its use-by day.",
        ),
        ({"sap_certificate": Decimal("0.19")}, "A SAP value lies between 40 and 360 mg of KOH a gram."),
        ({"purity_percent": Decimal(101)}, "A purity lies between 50 and 100 percent."),
    ),
)
def test_a_delivery_that_cannot_be_true_is_refused(workshop, owner, change, words):
    facts = {"material": material(), "received_on": RECEIVED, "grams": Decimal(1), "by": owner}
    assert refused(lambda: receive_lot(**(facts | change))) == words
    assert Lot.objects.count() == 0
    receive_lot(**facts, expires_on=RECEIVED, sap_certificate=Decimal(190), purity_percent=Decimal(99))


def test_a_refused_delivery_gives_its_number_back(workshop, owner):
    refused(lambda: lot(owner, purity_percent=Decimal(10)))
    assert lot(owner).code == "L26-001"


@pytest.mark.parametrize("start", tuple(LotState))
@pytest.mark.parametrize("to", tuple(LotState))
def test_a_lot_moves_only_as_the_table_says(workshop, owner, start, to):
    got = lot(owner)
    grams = Decimal(0) if LotState.USED_UP in (start, to) else Decimal(1000)
    Lot.objects.filter(pk=got.pk).update(status=start.value, grams_left=grams)
    if to in MOVES[start]:
        expected = LotState.USED_UP if to == LotState.RELEASED and not grams else to
        assert move_lot(lot_id=got.pk, to=to, by=owner, reason="looked at it").status == expected.value
    else:
        refused(lambda: move_lot(lot_id=got.pk, to=to, by=owner, reason="looked at it"))
        got.refresh_from_db()
        assert got.status == start.value


def test_a_hold_needs_its_reason_and_a_release_clears_it(workshop, owner):
    got = lot(owner)
    words = "Say in a few words why. Everybody who opens this lot will see it."
    assert refused(lambda: move_lot(lot_id=got.pk, to=LotState.HELD, by=owner, reason=" ")) == words
    assert move_lot(lot_id=got.pk, to=LotState.HELD, by=owner, reason="Smells old").hold_reason == "Smells old"
    assert move_lot(lot_id=got.pk, to=LotState.RELEASED, by=owner).hold_reason == ""


def test_a_lot_that_holds_something_is_not_used_up(workshop, owner):
    got = lot(owner)
    words = "L26-001 still holds 1,000 g. Weigh it back to 0 g first."
    assert refused(lambda: move_lot(lot_id=got.pk, to=LotState.USED_UP, by=owner)) == words


@pytest.mark.parametrize("status", (LotState.QUARANTINE, LotState.HELD, LotState.REJECTED, LotState.USED_UP))
def test_only_a_released_lot_is_drawn(workshop, owner, status):
    got = lot(owner)
    Lot.objects.filter(pk=got.pk).update(status=status.value)
    refused(lambda: draw(got, "1", owner))
    Lot.objects.filter(pk=got.pk).update(status=LotState.RELEASED.value)
    assert draw(got, "1", owner).grams_left == 999


def test_a_lot_is_drawn_up_to_its_last_day_and_not_after(workshop, owner):
    got = lot(owner, expires_on=TODAY)
    assert draw(got, "1", owner, on=TODAY).grams_left == 999
    words = "L26-001 was to be used by May 12, 2026. Choose another lot."
    assert refused(lambda: draw(got, "1", owner, on=TODAY + DAY)) == words
    set_use_by(lot_id=got.pk, expires_on=TODAY + DAY, reason="Smells and looks fresh", by=owner)
    assert draw(got, "1", owner, on=TODAY + DAY).grams_left == 998


def test_a_lot_gives_exactly_what_it_holds(workshop, owner):
    got = lot(owner, "1000")
    words = (
        "L26-001 holds 1,000 g, but 1,000.001 g are needed. "
        "Choose another lot, or weigh the tub back and correct its count."
    )
    assert refused(lambda: draw(got, "1000.001", owner)) == words
    used = draw(got, "1000", owner)
    assert (used.grams_left, used.status, used.opened_on) == (0, "used_up", TODAY)


@pytest.mark.parametrize("grams", ("0", "-5"))
def test_nothing_is_drawn_as_nothing(workshop, owner, grams):
    got = lot(owner)
    refused(lambda: draw(got, grams, owner))
    assert StockMove.objects.filter(lot=got).count() == 1


def test_first_to_expire_stands_first_and_what_keeps_on_stands_last(workshop, owner):
    keeps = lot(owner)
    late = lot(owner, expires_on=TODAY + 9 * DAY)
    soon = lot(owner, expires_on=TODAY + DAY, on=RECEIVED + DAY)
    older = lot(owner, expires_on=TODAY + DAY, on=RECEIVED)
    past = lot(owner, expires_on=TODAY - DAY)
    assert list(Lot.objects.drawable(on=TODAY)) == [older, soon, late, keeps]
    assert list(Lot.objects.drawable()) == [past, older, soon, late, keeps]


def test_drawing_past_the_first_to_go_is_noted(workshop, owner):
    late, soon = lot(owner, expires_on=TODAY + 9 * DAY), lot(owner, expires_on=TODAY + DAY)
    draw(late, "1", owner)
    draw(soon, "1", owner)
    notes = list(StockMove.objects.filter(kind="draw").order_by("pk").values_list("note", flat=True))
    assert notes == ["L26-002 would have been first to go.", ""]


def test_grams_given_back_release_a_used_up_lot_again(workshop, owner):
    got = draw(lot(owner, "100"), "100", owner)
    assert got.status == "used_up"
    back = give_back(lot_id=got.pk, grams=Decimal(40), by=owner, batch_id=None, note="Undone: wrong tub")
    assert (back.grams_left, back.status) == (40, "released")
    assert give_back(lot_id=got.pk, grams=Decimal(0), by=owner, batch_id=None, note="").moves.count() == 3


def test_weighing_back_writes_the_difference(workshop, owner):
    got = lot(owner, "1000")
    assert refused(lambda: weigh_back(lot_id=got.pk, grams=Decimal(990), by=owner, reason="")).startswith(
        "Say in a few"
    )
    assert weigh_back(lot_id=got.pk, grams=Decimal(990), by=owner, reason="left in the jug").grams_left == 990
    assert got.moves.get(kind="count").grams == -10
    weigh_back(lot_id=got.pk, grams=Decimal(990), by=owner, reason="")
    assert got.moves.count() == 2, "the same figure again changes nothing"
    assert weigh_back(lot_id=got.pk, grams=Decimal(0), by=owner, reason="empty").status == "used_up"
    assert weigh_back(lot_id=got.pk, grams=Decimal(20), by=owner, reason="some left").status == "released"


def test_a_tub_weighed_with_its_tare_is_noticed(workshop, owner):
    got = lot(owner, "1000")
    words = "1,050.001 g is more than the 1,000 g that came. Take the weight of the tub off and weigh again."
    assert refused(lambda: weigh_back(lot_id=got.pk, grams=Decimal("1050.001"), by=owner, reason="x")) == words
    assert weigh_back(lot_id=got.pk, grams=Decimal(1050), by=owner, reason="filled well").grams_left == 1050


def test_a_rejected_lot_only_leaves(workshop, owner):
    got = move_lot(lot_id=lot(owner, is_damaged=True).pk, to=LotState.REJECTED, by=owner, reason="Leaked")
    refused(lambda: weigh_back(lot_id=got.pk, grams=Decimal(1), by=owner, reason="x"))
    refused(lambda: set_use_by(lot_id=got.pk, expires_on=TODAY, reason="x", by=owner))
    gone = throw_away(lot_id=got.pk, grams=Decimal(1000), by=owner, reason="Sent back", is_return=True)
    assert (gone.grams_left, gone.status) == (0, "rejected")
    assert got.moves.get(kind="return").grams == -1000


@pytest.mark.parametrize(("grams", "reason"), (("0", "x"), ("1000.001", "x"), ("-1", "x"), ("10", " ")))
def test_what_cannot_go_is_refused(workshop, owner, grams, reason):
    got = lot(owner, "1000")
    refused(lambda: throw_away(lot_id=got.pk, grams=Decimal(grams), by=owner, reason=reason))
    assert throw_away(lot_id=got.pk, grams=Decimal(10), by=owner, reason="spilled").grams_left == 990


def test_the_same_waste_sent_twice_goes_once(workshop, owner):
    got, once = lot(owner, "1000"), uuid4()
    for _ in range(2):
        throw_away(lot_id=got.pk, grams=Decimal(300), by=owner, reason="spilled", typed_once=once)
    got.refresh_from_db()
    assert got.grams_left == 700


@pytest.mark.parametrize(("day", "reason"), ((RECEIVED - DAY, "x"), (TODAY, "  ")))
def test_a_new_use_by_day_must_be_possible_and_explained(workshop, owner, day, reason):
    got = lot(owner)
    refused(lambda: set_use_by(lot_id=got.pk, expires_on=day, reason=reason, by=owner))
    assert set_use_by(lot_id=got.pk, expires_on=TODAY, reason="New certificate", by=owner).expires_on == TODAY
    event = AuditEvent.objects.get(verb="set_use_by")
    assert (event.before, event.after) == ({"use_by": None}, {"use_by": "2026-05-12"})


def test_no_database_takes_a_lot_below_nothing(workshop, owner):
    got = lot(owner, "1")
    with pytest.raises(IntegrityError), transaction.atomic():
        Lot.objects.filter(pk=got.pk).update(grams_left=Decimal(-1))


def test_a_supplier_is_written_down_once_whatever_its_capitals(workshop, owner):
    first = save_supplier(name="Blackrock Oils", lead_days=9, by=owner)
    assert save_supplier(name=" blackrock OILS ", lead_days=None, by=owner) == first
    other = save_supplier(name="Lantern Cove", lead_days=None, by=owner)
    with pytest.raises(StockRefusal):
        change_supplier(supplier_id=other.pk, name="Blackrock oils", lead_days=1, contact="", by=owner)
    changed = change_supplier(supplier_id=other.pk, name="Lantern Cove", lead_days=14, contact="a@b.example", by=owner)
    assert (changed.lead_days, Supplier.objects.count()) == (14, 2)


def test_any_history_keeps_every_balance(workshop, owner):
    """Four hundred chance acts on three lots; refusals are fine, a wrong sum is not."""
    chance = random.Random(20260512)
    lots = [lot(owner, "500", expires_on=TODAY + days * DAY) for days in (0, 5, 50)]
    acts = (
        lambda pk, grams: draw_from_lot(lot_id=pk, grams=grams, on=TODAY + DAY, by=owner, batch_id=None),
        lambda pk, grams: give_back(lot_id=pk, grams=grams / 4, by=owner, batch_id=None, note="Undone"),
        lambda pk, grams: weigh_back(lot_id=pk, grams=grams, by=owner, reason="counted"),
        lambda pk, grams: throw_away(lot_id=pk, grams=grams, by=owner, reason="spilled"),
        lambda pk, grams: move_lot(lot_id=pk, to=chance.choice(list(LotState)), by=owner, reason="looked"),
    )
    done = 0
    for _ in range(400):
        grams = Decimal(chance.randint(0, 400_000)) / 1000
        try:
            chance.choice(acts)(chance.choice(lots).pk, grams.quantize(Decimal("0.001")))
            done += 1
        except StockRefusal:
            continue
    assert done > 40
    assert_balanced()
