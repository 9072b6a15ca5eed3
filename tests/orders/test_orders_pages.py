"""The pages of orders and customers: taking, changing, moving, nonsense, and how few questions they ask."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from orders.models import Customer, Order
from orders.order_states import OrderState
from tests.orders.builders import make_customer, make_design, make_order, material

NEXT_YEAR = date(2027, 8, 7)
NONSENSE = ("abc", "-5", "1e9", "99999999999999999999", "12.3.4", "\x00", "<b>7</b>", "NaN", "½")


@pytest.fixture
def design(owner, workshop):
    return make_design(owner)


@pytest.fixture
def order(owner, design):
    return make_order(owner, design, 12, needed_by=NEXT_YEAR, state=OrderState.ENQUIRY)


def new_order(design, **typed) -> dict:
    blank = {"lines-TOTAL_FORMS": "3", "lines-INITIAL_FORMS": "0", "hand_over": "pick_up", "travel_days": "0"}
    filled = {
        "new_customer": "Tilda Ross",
        "needed_by": "2027-08-07",
        "lines-0-design": str(design.pk),
        "lines-0-bars": "36",
        "lines-0-wording": "Tilda & Sol",
    }
    return blank | filled | typed


def url(name, *more) -> str:
    return reverse(f"orders:{name}", args=more)


def test_an_order_is_taken_with_a_new_customer(owner_client, design):
    page = owner_client.post(url("order-new"), new_order(design), follow=True)
    order = Order.objects.get()
    assert page.redirect_chain[-1][0] == order.get_absolute_url()
    assert (order.customer.name, order.lines.get().wording) == ("Tilda Ross", "Tilda & Sol")


def test_a_second_click_takes_no_second_order(owner_client, design):
    once = owner_client.get(url("order-new")).context["form"]["typed_once"].value()
    for _ in range(2):
        owner_client.post(url("order-new"), new_order(design, typed_once=str(once)))
    assert (Order.objects.count(), Customer.objects.count()) == (1, 1)


def test_without_a_needed_by_day_it_is_counted_back_from_the_event(owner_client, design, workshop):
    owner_client.post(url("order-new"), new_order(design, needed_by="", event_date="2027-06-14"))
    assert Order.objects.get().needed_by == date(2027, 6, 7)


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    (
        ({"needed_by": "2001-01-01"}, "needed_by", "Jan 1, 2001 has passed. Give a day still to come."),
        ({"needed_by": "9999-01-01"}, "needed_by", "The year 9999 cannot be right. Check the day."),
        ({"needed_by": ""}, "needed_by", "Give the day the bars are needed, or the day of the event."),
        (
            {"event_date": "2027-01-01"},
            "event_date",
            "The event lies before the day the bars are needed. Check both days.",
        ),
        ({"new_customer": ""}, "customer", "Choose the customer, or name a new one below."),
        ({"lines-0-design": "", "lines-0-bars": "", "lines-0-wording": ""}, "__all__",
         "An order needs at least one line. Choose a design and say how many bars."),
    ),
)  # fmt: skip
def test_a_refused_order_says_the_mend_and_keeps_what_was_typed(owner_client, design, typed, field, sentence):
    page = owner_client.post(url("order-new"), new_order(design, occasion="Wedding", **typed))
    assert page.status_code == 200
    assert page.context["form"].errors[field] == [sentence]
    assert page.context["form"]["occasion"].value() == "Wedding"
    assert not Order.objects.exists()


@pytest.mark.parametrize("typed", [*NONSENSE, "0", "5001"])
def test_nonsense_as_a_count_is_answered_in_a_sentence(owner_client, design, typed):
    page = owner_client.post(url("order-new"), new_order(design, **{"lines-0-bars": typed}))
    assert page.status_code == 200
    assert page.context["lines"][0].errors["bars"]
    assert page.context["lines"][0]["bars"].value() == typed
    assert not Order.objects.exists()


@pytest.mark.parametrize("typed", NONSENSE)
@pytest.mark.parametrize(
    "field",
    ["needed_by", "event_date", "travel_days", "customer", "hand_over", "typed_once", "lines-TOTAL_FORMS",
     "lines-0-design", "new_email"],
)  # fmt: skip
def test_nonsense_anywhere_in_a_new_order_never_breaks(owner_client, design, field, typed):
    page = owner_client.post(url("order-new"), new_order(design, **{field: typed}))
    assert page.status_code == 200
    assert not Order.objects.exists()


def test_an_empty_post_is_answered_with_what_is_missing(owner_client, design):
    page = owner_client.post(url("order-new"), {})
    assert page.status_code == 200
    assert page.context["form"].errors


def test_dates_are_changed_and_a_past_day_is_refused(owner_client, order):
    kept = {"hand_over": "post", "travel_days": "3", "seen_saves": "0", "occasion": "", "note": ""}
    page = owner_client.post(url("order-edit", order.number), kept | {"needed_by": "2001-01-01"})
    assert page.context["form"].errors["needed_by"] == ["Jan 1, 2001 has passed. Give a day still to come."]
    owner_client.post(url("order-edit", order.number), kept | {"needed_by": "2027-09-01"})
    order.refresh_from_db()
    assert (order.needed_by, order.travel_days) == (date(2027, 9, 1), 3)


def test_a_late_order_may_keep_its_day_while_something_else_is_changed(owner_client, order):
    Order.objects.filter(pk=order.pk).update(needed_by=date(2026, 1, 5))
    typed = {"hand_over": "pick_up", "travel_days": "", "seen_saves": "0", "needed_by": "2026-01-05", "note": "Call"}
    owner_client.post(url("order-edit", order.number), typed)
    order.refresh_from_db()
    assert (order.note, order.needed_by) == ("Call", date(2026, 1, 5))


def test_a_change_made_in_another_tab_meanwhile_is_not_lost(owner_client, order):
    typed = {"hand_over": "pick_up", "needed_by": "2027-09-01", "seen_saves": "0"}
    owner_client.post(url("order-edit", order.number), typed | {"note": "Blue"})
    page = owner_client.post(url("order-edit", order.number), typed | {"note": "Red"})
    assert page.context["form"].non_field_errors()[0].startswith(f"{order} was changed after you opened this page.")
    assert page.context["form"]["note"].value() == "Red"


def test_a_line_takes_parts_and_price(owner_client, order, design):
    line = order.lines.get()
    shell = design.parts.get(part__key="shell").part_id
    seal = design.parts.get(part__key="seal").part_id
    typed = {"bars": "24", "price_per_bar": "6.50", f"part_{shell}": "6", f"part_{seal}": "24", "seen_saves": "0"}
    owner_client.post(url("line-edit", order.number, line.pk), typed)
    line.refresh_from_db()
    assert (line.bars, line.price_per_bar, line.price) == (24, Decimal("6.50"), Decimal("156.00"))
    assert {each.part.key: each.bars for each in line.finishes.all()} == {"seal": 24, "shell": 6}


@pytest.mark.parametrize("typed", NONSENSE)
def test_nonsense_on_a_line_is_kept_and_answered(owner_client, order, design, typed):
    line = order.lines.get()
    seal = design.parts.get(part__key="seal").part_id
    for field in ("bars", "price_per_bar", f"part_{seal}"):
        page = owner_client.post(
            url("line-edit", order.number, line.pk), {"bars": "12", "seen_saves": "0", field: typed}
        )
        assert page.status_code == 200
        assert page.context["form"].errors[field]
        assert page.context["form"][field].value() == typed


def test_too_many_toppers_are_refused_on_the_line(owner_client, order, design):
    shell = design.parts.get(part__key="shell").part_id
    typed = {"bars": "12", f"part_{shell}": "13", "seen_saves": "0"}
    page = owner_client.post(url("line-edit", order.number, order.lines.get().pk), typed)
    assert page.context["form"].non_field_errors()


def test_a_line_is_added_once_and_taken_out_again(owner_client, order, design):
    add = url("line-add", order.number, design.pk)
    once = owner_client.get(add).context["form"]["typed_once"].value()
    for _ in range(2):
        owner_client.post(add, {"bars": "5", "typed_once": str(once)})
    assert [line.bars for line in order.lines.all()] == [12, 5]
    second = order.lines.last()
    assert second.finishes.get().bars == 5
    for _ in range(2):
        assert owner_client.post(url("line-remove", order.number, second.pk)).status_code == 302
    assert [line.bars for line in order.lines.all()] == [12]


@pytest.mark.parametrize("typed", ["", "abc", "99999999999999999999", "٣"])
def test_a_design_that_is_none_leads_to_the_choice(owner_client, order, typed):
    answer = owner_client.get(url("line-choose", order.number), {"design": typed})
    assert [str(each) for each in answer.context["messages"]] == ["Choose a design for the new line."]


ALL_MOVES = [(current, target) for current in OrderState for target in OrderState]
BY_BUTTON = {("enquiry", "quoted"), ("quoted", "accepted"), ("handed_over", "closed")}


@pytest.mark.parametrize(("current", "target"), ALL_MOVES)
def test_rule_g12_only_the_buttons_of_the_page_move_an_order_by_direct_post(owner_client, order, current, target):
    Order.objects.filter(pk=order.pk).update(status=current.value)
    page = owner_client.post(url("order-move", order.number), {"to": target.value}, follow=True)
    assert page.status_code == 200
    order.refresh_from_db()
    moved = (current.value, target.value) in BY_BUTTON
    assert order.status == (target.value if moved else current.value)


@pytest.mark.parametrize("typed", ["", "sold", "\x00", "cancelled"])
def test_a_stage_that_is_none_is_refused_with_a_sentence(owner_client, order, typed):
    page = owner_client.post(url("order-move", order.number), {"to": typed}, follow=True)
    assert [str(each) for each in page.context["messages"]] == [
        "That is no step to take here. Use the buttons on this page."
    ]


def test_an_enquiry_is_cancelled_with_its_words(owner_client, order):
    page = owner_client.post(url("order-cancel", order.number), {"cancel-reason": ""})
    assert page.context["cancel_form"].errors["reason"] == ["Say in a few words why the order is cancelled."]
    owner_client.post(url("order-cancel", order.number), {"cancel-reason": "Moved to next year"})
    order.refresh_from_db()
    assert order.state == OrderState.CANCELLED


@pytest.mark.parametrize("state", [OrderState.IN_PRODUCTION, OrderState.READY, OrderState.PACKED])
def test_an_order_with_batches_is_not_cancelled_past_them(owner_client, order, state):
    Order.objects.filter(pk=order.pk).update(status=state.value)
    page = owner_client.post(url("order-cancel", order.number), {"cancel-reason": "Moved"})
    assert page.status_code == 200
    assert "Batches or bars stand behind this order." in page.content.decode()
    order.refresh_from_db()
    assert order.state == state


def test_a_promise_is_noted_and_nonsense_kept(owner_client, order):
    page = owner_client.post(url("order-promise", order.number), {"day": "soon"})
    assert page.context["promise_form"]["day"].value() == "soon"
    owner_client.post(url("order-promise", order.number), {"day": "2027-08-01"})
    order.refresh_from_db()
    assert order.promised_date == date(2027, 8, 1)


def test_missing_prices_are_counted_and_the_rest_added_up(owner, owner_client, design):
    order = make_order(owner, design, 10, price_per_bar=Decimal("6.50"), needed_by=NEXT_YEAR)
    page = owner_client.get(order.get_absolute_url()).context["page"]
    assert (page.total, page.unpriced) == (Decimal("65.00"), 0)
    owner_client.post(url("line-add", order.number, design.pk), {"bars": "5"})
    page = owner_client.get(order.get_absolute_url()).context["page"]
    assert (page.total, page.unpriced) == (Decimal("65.00"), 1)


def test_what_the_customer_avoids_is_said_on_the_order(owner, owner_client, design):
    by_group = make_customer(owner, "Odd Hansen", avoid_groups=["Palm"])
    by_name = make_customer(owner, "Ruth Amsel")
    by_name.avoid_materials.set([material("olive")])
    scent = make_customer(owner, "Ines Falk", avoid_groups=["scent"])
    nothing = make_customer(owner, "Jon Berg", avoid_groups=["nut"])
    found = {}
    for customer in (by_group, by_name, scent, nothing):
        order = make_order(owner, design, 10, customer=customer, needed_by=NEXT_YEAR)
        (line,) = owner_client.get(order.get_absolute_url()).context["page"].lines
        found[customer.name] = [(hit.ingredient, hit.where, hit.because) for hit in line.hits]
    assert found == {
        "Odd Hansen": [("Palm oil", "the formula", "palm")],
        "Ruth Amsel": [("Olive oil", "the formula", "on the list by name")],
        "Ines Falk": [("Fern fragrance", "the formula", "scent")],
        "Jon Berg": [],
    }


def test_a_customer_is_written_down_once_and_changed(owner_client, workshop):
    once = owner_client.get(url("customer-new")).context["form"]["typed_once"].value()
    typed = {"name": "Mara Velden", "avoid_groups": "Palm, nut, palm", "typed_once": str(once)}
    for _ in range(2):
        owner_client.post(url("customer-new"), typed)
    mara = Customer.objects.get()
    assert mara.avoid_groups == ["palm", "nut"]
    page = owner_client.post(url("customer-edit", mara.pk), {"name": "", "email": "nobody"})
    assert page.context["form"].errors["name"] == ["What are they called?"]
    assert page.context["form"]["email"].value() == "nobody"
    owner_client.post(url("customer-edit", mara.pk), {"name": "Mara Holt"})
    mara.refresh_from_db()
    assert mara.name == "Mara Holt"


@pytest.mark.parametrize("typed", NONSENSE)
def test_nonsense_in_a_customer_never_breaks(owner_client, workshop, typed):
    for field in ("name", "email", "avoid_materials", "avoid_groups", "typed_once"):
        page = owner_client.post(url("customer-new"), {"name": "Mara", field: typed}, follow=True)
        assert page.status_code == 200


def test_unknown_numbers_are_not_found(owner_client, order):
    line = order.lines.get()
    for address in (
        url("order", "9999"),
        url("order-edit", "9999"),
        url("customer", 10**18),
        url("customer-edit", 999),
        url("line-add", order.number, 10**30),
        url("line-add", "9999", line.design_id),
        url("line-edit", order.number, 999),
        url("line-edit", "9999", line.pk),
    ):
        assert owner_client.get(address).status_code == 404
    for name in ("order-move", "order-cancel", "order-promise"):
        assert owner_client.post(url(name, "9999")).status_code == 404


@pytest.mark.parametrize("query", [{"show": "nonsense"}, {"page": "-1"}, {"page": "abc"}, {"page": "9" * 30}])
def test_nonsense_in_the_address_shows_a_list(owner_client, order, query):
    assert owner_client.get(url("order-list"), query).status_code == 200


def test_the_list_opens_with_what_is_late_and_unanswered(owner, owner_client, design):
    make_order(owner, design, 10, needed_by=date(2026, 1, 5))
    make_order(owner, design, 10, needed_by=NEXT_YEAR, state=OrderState.ENQUIRY)
    counts = owner_client.get(url("order-list")).context["counts"]
    assert (counts.open, counts.late, counts.unanswered, counts.next_needed) == (2, 1, 1, NEXT_YEAR)


def queries(client, address) -> int:
    client.get(address)
    with CaptureQueriesContext(connection) as seen:
        assert client.get(address).status_code == 200
    return len(seen)


@pytest.mark.parametrize("name", ["order-list", "customer-list"])
def test_lists_ask_the_same_few_questions_however_long_they_are(owner, owner_client, design, name):
    counts = []
    for number in range(3):
        make_order(owner, design, 10, customer=make_customer(owner, f"Mara {number}"))
        counts.append(queries(owner_client, url(name)))
    assert counts[0] == counts[2] <= 12


def test_an_agreed_order_asks_few_questions(owner, owner_client, design):
    order = make_order(owner, design, 10, price_per_bar=Decimal("6.50"), needed_by=NEXT_YEAR)
    for stage in ("quoted", "accepted"):
        owner_client.post(url("order-move", order.number), {"to": stage})
    assert queries(owner_client, order.get_absolute_url()) <= 12


def test_the_bar_of_a_line_is_an_image_of_its_own(owner_client, order):
    answer = owner_client.get(url("line-picture", order.number, order.lines.get().pk))
    assert (answer.status_code, answer["content-type"]) == (200, "image/svg+xml")
    assert answer.content.startswith(b"<svg xmlns=")
    assert owner_client.get(url("line-picture", order.number, 99999)).status_code == 404


def test_bars_stand_with_and_without_spares(owner, owner_client, design):
    """case-C89: 36 ordered with 10 % spares are 40 poured."""
    order = make_order(owner, design, 36, needed_by=NEXT_YEAR)
    page = owner_client.get(order.get_absolute_url()).context["page"]
    assert (page.bars, page.poured) == (36, 40)


def test_an_order_asks_no_more_for_more_lines(owner, owner_client, design):
    wary = make_customer(owner, "Odd Hansen", avoid_groups=["palm"])
    order = make_order(owner, design, 10, customer=wary, needed_by=NEXT_YEAR + timedelta(days=1))
    one = queries(owner_client, order.get_absolute_url())
    for _ in range(2):
        owner_client.post(url("line-add", order.number, design.pk), {"bars": "5"})
    assert queries(owner_client, order.get_absolute_url()) == one <= 18


def test_pages_ask_for_a_sign_in(client, order):
    for address in (url("order-list"), order.get_absolute_url(), url("customer-list"), url("order-new")):
        assert client.get(address).status_code == 302
