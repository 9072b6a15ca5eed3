"""Orders from a file and the order book as a file. Worked by hand; the guard follows common advice on spreadsheets."""

import csv
import io
from datetime import date
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from orders.actions import OrderRefusal
from orders.interchange.actions import take_file
from orders.interchange.order_file import COLUMNS, OrderFileRefused, csv_text, decoded, guarded, read_orders
from orders.interchange.reads import book_rows
from orders.models import Customer, Order, OrderLine
from tests.orders.money_builders import build_customer, build_design, build_order

HEADING = "order,customer,email,occasion,event,needed_by,design,bars,price_per_bar,wording\n"
GOOD = (
    HEADING
    + 'A,Maren Holloway,maren@holloway.example,Wedding,2099-08-27,2099-08-20,Two Tides,36,7.90,"Łucja, José"\n'
    + "A,Maren Holloway,maren@holloway.example,Wedding,2099-08-27,2099-08-20,two tides,12,,\n"
    + "B,小明,,,,2099-09-01,Two Tides,10,6.5,مريم 🧼\n"
)


def read(text: str):
    return read_orders(text, designs=["Two Tides"])


def test_a_good_file_is_read_line_by_line():
    found = read(GOOD)
    assert found.faults == ()
    assert [(row.line, row.order, row.design, row.bars, row.price_per_bar) for row in found.rows] == [
        (2, "A", "Two Tides", 36, Decimal("7.90")),
        (3, "A", "Two Tides", 12, None),
        (4, "B", "Two Tides", 10, Decimal("6.50")),
    ]
    assert [row.wording for row in found.rows] == ["Łucja, José", "", "مريم 🧼"]
    assert found.rows[0].event == date(2099, 8, 27)


@pytest.mark.parametrize(
    ("line", "column", "text"),
    (
        ("A,,,,,2099-08-20,Two Tides,3,,", "customer", "This is needed. Fill it in."),
        ("A,M,,,,20.8.2099,Two Tides,3,,", "needed_by", "“20.8.2099” is not a day. Write it as 2026-05-12."),
        ("A,M,,,,2099-02-30,Two Tides,3,,", "needed_by", "“2099-02-30” is not a day. Write it as 2026-05-12."),
        ("A,M,,,,2099-08-20,Tides,3,,", "design", "There is no design “Tides”. Correct the name, or draw it first."),
        (
            "A,M,,,,2099-08-20,Two Tides,3.5,,",
            "bars",
            "“3.5” is not a count of bars. Write a whole number from 1 to 5000.",
        ),
        (
            "A,M,,,,2099-08-20,Two Tides,٣,,",
            "bars",
            "“٣” is not a count of bars. Write a whole number from 1 to 5000.",
        ),
        ("A,M,,,,2099-08-20,Two Tides,3,1e9,", "price_per_bar", "“1e9” is not a price. Write it as 7.50."),
        ("A,M,,,,2099-08-20,Two Tides,3,NaN,", "price_per_bar", "“NaN” is not a price. Write it as 7.50."),
        (
            "A,M,nobody,,,2099-08-20,Two Tides,3,,",
            "email",
            "This is not an e-mail address. Write it as name@place.example.",
        ),
    ),
)
def test_each_fault_names_its_line_and_column(line, column, text):
    found = read(HEADING + "Z,M,,,,2099-08-20,Two Tides,1,,\n" + line + "\n")
    assert [(fault.line, fault.column, fault.text) for fault in found.faults] == [(3, column, text)]


def test_lines_of_one_order_must_agree():
    found = read(HEADING + "A,M,,,,2099-08-20,Two Tides,1,,\nA,N,,,,2099-08-20,Two Tides,1,,\n")
    assert [(fault.line, fault.column) for fault in found.faults] == [(3, "customer")]


@pytest.mark.parametrize(
    ("text", "sentence"),
    (
        ("", "The first line must name the columns"),
        ("order,customer\n", "missing: needed_by, design, bars"),
        (HEADING, "This file has a heading and no orders"),
        (HEADING.replace("wording", "bars"), "The column bars stands twice"),
        (HEADING + 'A,"M,,,,2099-08-20,Two Tides,1,,\n', "a quotation mark is not closed"),
    ),
)
def test_a_file_that_cannot_be_read_says_why(text, sentence):
    with pytest.raises(OrderFileRefused, match=sentence):
        read(text)


def test_a_file_in_another_encoding_is_refused():
    assert decoded("José".encode("utf-8-sig")) == "José"
    with pytest.raises(OrderFileRefused, match="not in UTF-8"):
        decoded("José".encode("latin-1"))


@pytest.mark.parametrize("cell", ("=1+1", "+41", "-5", "@SUM(A1)", "\tx"))
def test_what_a_spreadsheet_would_work_out_is_guarded(cell):
    assert guarded(cell) == f"'{cell}"


@pytest.mark.parametrize("cell", ("Maren", "3-5 bars", "a=b", ""))
def test_plain_words_are_left_alone(cell):
    assert guarded(cell) == cell


def test_the_order_book_comes_back_as_it_was(owner, workshop):
    customer = build_customer(by=owner, name="=HYPERLINK(1) José 小明 مريم 🧼")
    order = build_order(by=owner, customer=customer)
    order.lines.update(wording='Łucja "L", line\nbreak')
    rows = list(csv.reader(io.StringIO(csv_text(book_rows()))))
    assert tuple(rows[0]) == COLUMNS
    cells = dict(zip(rows[0], rows[1], strict=True))
    assert cells["customer"] == "'=HYPERLINK(1) José 小明 مريم 🧼"
    assert (cells["wording"], cells["bars"], cells["price_per_bar"]) == ('Łucja "L", line\nbreak', "36", "7.90")


def test_all_orders_are_taken_once(owner, workshop):
    build_design()
    rows = read(GOOD).rows
    orders = take_file(rows=rows, digest="d1", by=owner)
    assert [(order.customer.name, order.lines.count()) for order in orders] == [("Maren Holloway", 2), ("小明", 1)]
    with pytest.raises(OrderRefusal, match="in the book already"):
        take_file(rows=rows, digest="d1", by=owner)
    assert Order.objects.count() == 2


def test_one_fault_and_none_is_taken(owner_client, owner):
    build_design()
    url = reverse("orders:in-and-out")
    bad = GOOD + "C,X,,,,2001-01-01,Two Tides,1,,\n"
    answer = owner_client.post(url, {"chosen": SimpleUploadedFile("orders.csv", bad.encode())})
    assert [(fault.line, fault.column) for fault in answer.context["faults"]] == [(5, "needed_by")]
    owner_client.post(url, {"seen": bad, "confirmed": "yes"})
    assert not Order.objects.exists()
    assert not Customer.objects.exists()


def test_the_preview_writes_nothing_and_the_click_writes_all(owner_client, owner):
    build_design()
    url = reverse("orders:in-and-out")
    preview = owner_client.post(url, {"chosen": SimpleUploadedFile("orders.csv", GOOD.encode())})
    assert (preview.status_code, Order.objects.count()) == (200, 0)
    assert owner_client.post(url, {"seen": preview.context["text"], "confirmed": "yes"}).status_code == 302
    assert OrderLine.objects.count() == 3


@pytest.mark.parametrize(
    "sent", ({}, {"seen": "nonsense"}, {"confirmed": "yes"}, {"seen": "\x00\x00", "confirmed": "yes"})
)
def test_nonsense_is_answered_with_the_page(owner_client, sent):
    assert owner_client.post(reverse("orders:in-and-out"), sent).status_code == 200


def test_the_book_is_a_file_to_keep(owner_client, owner):
    build_order(by=owner)
    answer = owner_client.get(reverse("orders:order-book"))
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    assert answer.content.startswith(b"\xef\xbb\xbforder,customer")
