"""The search: a code leads straight to its page, words are found in groups, nonsense is borne."""

from datetime import timedelta

import pytest
from django.urls import reverse

from orders.models import OrderLine
from production.batches.actions.planning import plan_batches
from production.search.reads import search, tidy_words
from production.stock.actions import make_part_lot
from soapshop.clock import workshop_today
from tests.production.cure_builders import make_design, make_order
from tests.production.stores_shop import lot, material, part

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def shop(workshop, owner):
    today = workshop_today()
    order = make_order(make_design(owner), 10, needed_by=today + 90 * DAY, by=owner)
    OrderLine.objects.filter(order=order).update(wording="Iris & Jon")
    batch = plan_batches(order_id=order.pk, today=today, by=owner)[0]
    got = lot(owner, of=material(), on=today, supplier_lot="XK-9")
    made = make_part_lot(part=part(), pieces=9, made_on=today, use_by=None, by=owner)
    return {"order": order, "batch": batch, "lot": got, "part_lot": made}


def titles(words: str) -> list[str]:
    return [group.title for group in search(words).groups]


@pytest.mark.parametrize("what", ("order", "batch", "lot", "part_lot"))
def test_a_code_leads_straight_to_its_page(owner_client, shop, what):
    row = shop[what]
    code = getattr(row, "number", None) or row.code
    for typed in (code, f" {code.lower()} "):
        answer = owner_client.get(reverse("search"), {"q": typed})
        assert (answer.status_code, answer.url) == (302, row.get_absolute_url())
    assert owner_client.get(reverse("search"), {"q": code[:-1]}).status_code == 200, "part of a code lists what fits"


@pytest.mark.parametrize(
    ("words", "expected"),
    (
        ("velden", ["Orders", "Customers"]),
        ("iris &", ["Orders"]),
        ("xk-9", ["Lots"]),
        ("almond", ["Lots", "Materials"]),
        ("formula of", ["Formulas"]),
        ("seal", ["Lots of parts"]),
        ("dune", ["Orders", "Batches", "Formulas", "Designs"]),
        ("nothing like it", []),
        ("", []),
        ("%", []),
    ),
)
def test_words_are_found_in_groups(shop, words, expected):
    assert titles(words) == expected


def test_an_order_with_two_fitting_lines_is_found_once(shop, owner):
    line = shop["order"].lines.get()
    OrderLine.objects.create(order=shop["order"], design=line.design, bars=2, position=2, wording="Iris again")
    assert [len(group.hits) for group in search("iris").groups] == [1]


def test_more_than_ten_are_not_all_shown(shop, owner):
    for number in range(12):
        material(f"Rare oil {number}")
    found = search("rare oil")
    assert (found.count, found.has_more) == (10, True)


@pytest.mark.parametrize("typed", ("\0", "x" * 5000, "'; --", "<script>", "“", "٣", "  "))
def test_nonsense_is_borne(owner_client, shop, typed):
    assert owner_client.get(reverse("search"), {"q": typed}).status_code == 200
    assert owner_client.get(reverse("search")).status_code == 200


def test_words_are_tidied():
    assert tidy_words(" a\0b\n  c ") == "a b c"
    assert len(tidy_words("x" * 500)) == 80


def test_the_search_asks_the_same_for_one_row_and_for_three(owner_client, shop, owner, django_assert_max_num_queries):
    counts = []
    for number in (0, 3):
        for each in range(number):
            lot(owner, of=material(f"Almond oil {each}"))
        with django_assert_max_num_queries(12) as used:
            owner_client.get(reverse("search"), {"q": "almond"})
        counts.append(len(used))
    assert counts[0] == counts[1]


def test_the_box_stands_on_every_page(owner_client):
    assert f'action="{reverse("search")}"' in owner_client.get(reverse("production:stores")).content.decode()
