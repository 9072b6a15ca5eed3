"""The pages of the stores: what they say, what was typed stays, nonsense is borne, a fixed number of queries."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from production.batches.actions.planning import plan_batches
from production.stock.actions import hold_part_lot, make_part_lot
from production.stock.models import Lot, PartLot, StockMove, Supplier
from soapshop.clock import workshop_today
from tests.production.cure_builders import make_cut, make_design, make_order
from tests.production.stores_shop import lot, material, part

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def today(workshop):
    return workshop_today()


def typed(**facts: str) -> dict[str, str]:
    return {"material": "Almond oil", "grams": "25 kg", "received_on": "2026-04-01", **facts}


def page(client: Client, name: str, *args: object, **query: str) -> str:
    answer = client.get(reverse(f"production:{name}", args=args), query)
    assert answer.status_code == 200
    return answer.content.decode()


def lead(html: str) -> str:
    """The first line of a page, without its markup."""
    from django.utils.html import strip_tags

    found = html.split('<p class="lead">')[1].split("</p>")[0]
    return " ".join(strip_tags(found).replace("&nbsp;", " ").split())


def test_an_empty_shelf_says_what_to_do(owner_client):
    html = page(owner_client, "stores")
    assert lead(html) == "No planned batch takes anything from the shelf."
    assert "Nothing is on the shelf yet." in html


def test_a_shortage_is_named_in_the_first_line(owner_client, owner, today):
    design = make_design(owner)
    pour = today + 3 * DAY
    order = make_order(design, 10, needed_by=today + 90 * DAY, by=owner)
    batch = plan_batches(order_id=order.pk, today=today, by=owner, pour_on=pour)[0]
    lines = list(batch.weighings.select_related("material"))
    for line in lines:
        lot(owner, str(line.planned_grams), of=line.material, on=today)
    assert lead(page(owner_client, "stores")) == "The shelf holds enough for the one batch still to be made."
    olive = next(line for line in lines if line.material.name == "Olive oil")
    Lot.objects.filter(material=olive.material).update(grams_left=olive.planned_grams - 100)
    html = page(owner_client, "stores")
    assert lead(html) == f"Olive oil runs short by 100 g before {pour:%a, %b} {pour.day}."
    assert html.count(f">{batch.number}</a>") == 1
    assert "Coconut oil" not in page(owner_client, "stores", only="short")


def test_filters_show_only_what_was_asked(owner_client, owner, today):
    lot(owner, of=material("Almond oil"), on=today - 9 * DAY, expires_on=today - DAY)
    lot(owner, of=material("Sea mica", "colorant"), on=today)
    both, fats = page(owner_client, "stores"), page(owner_client, "stores", kind="fat")
    assert ("Sea mica" in both, "Sea mica" in fats, "Almond oil" in fats) == (True, False, True)
    old = page(owner_client, "stores", only="out_of_date")
    assert ("Sea mica" in old, "Almond oil" in old) == (False, True)
    assert "No material fits this filter." in page(owner_client, "stores", kind="liquid")


@pytest.mark.parametrize("name", ("stores", "lot-list", "supplier-list"))
def test_lists_need_the_same_queries_for_one_row_and_for_three(
    owner_client, owner, today, name, django_assert_max_num_queries
):
    counts = []
    for size in (1, 3):
        for number in range(size):
            maker = Supplier.objects.get_or_create(name=f"Supplier {number}")[0]
            lot(owner, of=material(f"Oil {size}{number}"), on=today, supplier=maker)
        design = make_design(owner, f"Dune {size}")
        order = make_order(design, 10, needed_by=today + 90 * DAY, by=owner, parts={"seal": 10})
        plan_batches(order_id=order.pk, today=today, by=owner)
        with django_assert_max_num_queries(12) as used:
            page(owner_client, name)
        counts.append(len(used))
    assert counts[0] == counts[1]


def test_a_delivery_is_received(owner_client, owner):
    material()
    supplied = typed(supplier="Blackrock Oils", supplier_lot="AB-7", price="98.50", grams="50 lb")
    answer = owner_client.post(reverse("production:lot-receive"), supplied)
    got = Lot.objects.get()
    assert answer.url == reverse("production:lot", args=[got.code])
    # 50 lb × 453.59237 g = 22,679.6185 g, kept to the milligram (NIST SP 811, appendix B).
    facts = (got.received_grams, got.supplier.name, got.supplier_lot, got.price)
    assert facts == (Decimal("22679.619"), "Blackrock Oils", "AB-7", Decimal("98.50"))


def test_the_same_delivery_sent_twice_is_one_lot(owner_client):
    material()
    once = typed(typed_once="0b7f9a52-8a0c-4d7e-9d0b-6f0e2a5f3c11")
    for _ in range(2):
        owner_client.post(reverse("production:lot-receive"), once)
    assert Lot.objects.count() == 1


@pytest.mark.parametrize(
    ("facts", "words"),
    (
        ({"material": ""}, "What came? Type the material's name."),
        ({"material": "Unicorn oil"}, "“Unicorn oil” is not among your materials. Choose one from the list"),
        ({"material": "almond"}, "“almond” is not among your materials. Did you mean Almond oil?"),
        ({"grams": "a lot"}, "cannot be read as a weight"),
        ({"grams": "25"}, "“25” has no unit."),
        ({"grams": "-5 kg"}, "is less than nothing"),
        ({"grams": "9" * 40 + " kg"}, "too many digits"),
        ({"grams": "0 g"}, "A delivery weighs more than nothing."),
        ({"received_on": "yesterday"}, "Type a day such as 2026-05-12."),
        ({"received_on": "2098-01-01"}, "That day is still to come."),
        ({"received_on": "0226-04-01"}, "That year cannot be right."),
        ({"expires_on": "2026-03-31"}, "This lot was out of date when it came."),
        ({"price": "cheap"}, "That is not a number."),
        ({"price": "-1"}, "Less than nothing cannot be right."),
        ({"price": "1" * 30}, "too many digits"),
        ({"sap_certificate": "0.19"}, "A SAP value lies between 40 and 360"),
        ({"purity_percent": "NaN"}, "That is not a number."),
        ({"supplier": "x" * 500}, "This is too long (500 characters). Shorten it to 120."),
        ({"supplier_lot": "a\0b"}, "Supplier's lot"),
    ),
)
def test_a_delivery_with_a_slip_keeps_what_was_typed(owner_client, facts, words):
    material()
    answer = owner_client.post(reverse("production:lot-receive"), typed(**facts))
    html = answer.content.decode()
    assert (answer.status_code, Lot.objects.count(), Supplier.objects.count()) == (422, 0, 0)
    assert words in html.replace("&#x27;", "'")
    shown = next(iter(facts.values()))
    if "\0" not in shown:
        assert f'value="{shown}"' in html or not shown


def test_an_empty_post_is_answered_in_sentences(owner_client):
    answer = owner_client.post(reverse("production:lot-receive"), {})
    assert (answer.status_code, Lot.objects.count()) == (422, 0)


def test_a_lot_shows_its_ledger_with_the_balance_after_each_move(owner_client, owner, today):
    design = make_design(owner)
    order = make_order(design, 10, needed_by=today + 90 * DAY, by=owner)
    batch = make_cut(order, by=owner, poured_on=today - 3 * DAY)
    line = batch.weighings.select_related("lot").first()
    html = page(owner_client, "lot", line.lot.code)
    assert html.count(batch.get_absolute_url()) == 2
    left = 9000 - sum(same.actual_grams for same in batch.weighings.filter(lot=line.lot))
    assert lead(html).startswith(f"{line.material.name}: {left:,.1f} g left of 9,000.0 g.")


def test_the_buttons_of_a_lot(owner_client, workshop, today):
    workshop.releases_lots_on_receipt = False
    workshop.save()
    material()
    owner_client.post(reverse("production:lot-receive"), typed(received_on=str(today)))
    got = Lot.objects.get()

    def press(name: str, **facts: str) -> int:
        return owner_client.post(reverse(f"production:{name}", args=[got.code]), facts).status_code

    assert press("lot-release") == 302
    assert press("lot-weigh-back", **{"weigh-grams": "24 kg", "weigh-reason": "a leak"}) == 302
    assert press("lot-use-by", **{"use-by-expires_on": str(today + DAY), "use-by-reason": "fresh"}) == 302
    assert press("lot-take-out", **{"out-grams": "500", "out-how": "waste", "out-reason": "spilled"}) == 302
    assert press("lot-hold", **{"hold-reason": "smells"}) == 302
    assert press("lot-reject", **{"reject-reason": "rancid"}) == 302
    got.refresh_from_db()
    assert (got.status, got.grams_left, got.expires_on) == ("rejected", Decimal(23500), today + DAY)
    assert press("lot-release") == 302
    got.refresh_from_db()
    assert got.status == "rejected", "what the table does not draw is refused by a direct post too"


@pytest.mark.parametrize(
    ("name", "facts", "words"),
    (
        ("lot-hold", {"hold-reason": ""}, "Say in a few words why."),
        ("lot-reject", {"reject-reason": "rancid"}, "A lot that is released cannot become rejected."),
        ("lot-weigh-back", {"weigh-grams": "much", "weigh-reason": "x"}, "cannot be read as a weight"),
        ("lot-weigh-back", {"weigh-grams": "2 kg", "weigh-reason": "x"}, "Take the weight of the tub off"),
        ("lot-take-out", {"out-grams": "2 kg", "out-how": "waste", "out-reason": "x"}, "L26-001 holds 1,000 g."),
        ("lot-take-out", {"out-grams": "1", "out-how": "moon", "out-reason": "x"}, "Choose where it goes."),
        ("lot-use-by", {"use-by-expires_on": "1999-01-01", "use-by-reason": "x"}, "That year cannot be right."),
        ("lot-use-by", {}, "On which day?"),
    ),
)
def test_a_refused_button_changes_nothing_and_says_why(owner_client, owner, name, facts, words):
    got = lot(owner)
    answer = owner_client.post(reverse(f"production:{name}", args=[got.code]), facts)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    got.refresh_from_db()
    assert (got.status, got.grams_left, StockMove.objects.count()) == ("released", Decimal(1000), 1)


@pytest.mark.parametrize("name", ("lot", "lot-release", "lot-hold", "lot-take-out", "part-lot", "part-lot-count"))
def test_an_unknown_code_is_not_found(owner_client, name):
    address = reverse(f"production:{name}", args=["L99-999"])
    answer = owner_client.get(address) if name in ("lot", "part-lot") else owner_client.post(address)
    assert answer.status_code == 404


@pytest.mark.parametrize("query", ({"material": "x"}, {"material": "9" * 30}, {"words": "\0"}, {"page": "many"}))
def test_nonsense_in_the_address_of_the_lots_is_borne(owner_client, owner, query):
    lot(owner)
    assert owner_client.get(reverse("production:lot-list"), query).status_code == 200
    assert owner_client.get(reverse("production:stores"), {**query, "kind": "moon", "only": "x"}).status_code == 200


def test_lists_of_lots(owner_client, owner, today):
    old = lot(owner, of=material("Almond oil"), on=today - 9 * DAY, expires_on=today - DAY)
    held = lot(owner, of=material("Sea mica", "colorant"), on=today, is_damaged=True, supplier_lot="MX-44")

    def codes(**query: str) -> list[str]:
        html = page(owner_client, "lot-list", **query)
        return [each.code for each in (old, held) if each.get_absolute_url() in html]

    assert codes() == [old.code, held.code]
    assert codes(show="out_of_date") == [old.code]
    assert codes(show="held") == [held.code]
    assert codes(show="quarantine") == []
    assert codes(words="mx-4") == [held.code]
    assert codes(material=str(old.material_id)) == [old.code]


def test_parts_are_made_counted_held_and_cleared(owner_client, today):
    seal = part()
    made = {"part": str(seal.pk), "pieces": "40", "made_on": str(today)}
    assert owner_client.post(reverse("production:part-lot-new"), made).status_code == 302
    got = PartLot.objects.get()

    def press(name: str, **facts: str) -> int:
        return owner_client.post(reverse(f"production:{name}", args=[got.code]), facts).status_code

    assert press("part-lot-count", **{"count-pieces": "many"}) == 422
    assert press("part-lot-count", **{"count-pieces": "41", "count-reason": "x"}) == 422
    assert press("part-lot-count", **{"count-pieces": "38", "count-reason": "two broke"}) == 302
    assert press("part-lot-clear", **{"clear-reason": "x"}) == 422
    assert press("part-lot-hold", **{"hold-reason": "sweating"}) == 302
    assert press("part-lot-hold", **{"hold-reason": "still"}) == 422
    assert lead(page(owner_client, "part-lot", got.code)) == "Seal: 38 pieces left of 40. sweating"
    assert press("part-lot-clear", **{"clear-reason": "dry"}) == 302
    got.refresh_from_db()
    assert (got.pieces_left, got.is_held) == (38, False)


@pytest.mark.parametrize(
    "facts", ({"pieces": "half"}, {"pieces": "0"}, {"pieces": "9" * 25}, {"part": "moon"}, {"made_on": "2098-01-01"})
)
def test_parts_with_a_slip_keep_what_was_typed(owner_client, today, facts):
    seal = part()
    made = {"part": str(seal.pk), "pieces": "40", "made_on": str(today), **facts}
    answer = owner_client.post(reverse("production:part-lot-new"), made)
    assert (answer.status_code, PartLot.objects.count()) == (422, 0)
    assert "part" in facts or f'value="{next(iter(facts.values()))}"' in answer.content.decode()


def test_short_parts_are_named(owner_client, owner, today):
    design = make_design(owner)
    order = make_order(design, 10, needed_by=today + 90 * DAY, by=owner, parts={"seal": 10})
    batch = plan_batches(order_id=order.pk, today=today, by=owner, pour_on=today)[0]
    for line in batch.weighings.all():
        lot(owner, str(line.planned_grams), of=line.material, on=today)
    wanted = sum(each["pieces"] + each["spares"] for each in batch.frozen["parts"])
    make_part_lot(part=part(), pieces=wanted - 1, made_on=today, use_by=None, by=owner)
    expected = f"Seal runs short by 1 pieces before {today:%a, %b} {today.day}."
    assert lead(page(owner_client, "stores")) == expected.replace("1 pieces", "1 piece")
    enough = make_part_lot(part=part(), pieces=1, made_on=today, use_by=None, by=owner)
    assert lead(page(owner_client, "stores")) == "The shelf holds enough for the one batch still to be made."
    hold_part_lot(part_lot_id=enough.pk, reason="cracked", by=owner)
    assert lead(page(owner_client, "stores")).startswith("Seal runs short by 1 piece before")


def test_suppliers_are_added_and_changed(owner_client):
    address = reverse("production:supplier-list")
    assert owner_client.post(address, {"name": "Blackrock Oils", "lead_days": "soon"}).status_code == 422
    assert owner_client.post(address, {"name": "Blackrock Oils", "lead_days": "9"}).status_code == 302
    assert owner_client.post(address, {"name": "Blackrock Oils"}).status_code == 422
    first = Supplier.objects.get()
    own = reverse("production:supplier", args=[first.pk])
    assert owner_client.post(own, {"name": "", "lead_days": "400"}).status_code == 422
    assert owner_client.post(own, {"name": "Blackrock", "lead_days": "12"}).status_code == 302
    first.refresh_from_db()
    assert (first.name, first.lead_days) == ("Blackrock", 12)
    assert owner_client.get(reverse("production:supplier", args=[99999])).status_code == 404


def test_the_stores_need_a_sign_in(client, workshop, owner):
    assert client.get(reverse("production:stores")).status_code == 302
