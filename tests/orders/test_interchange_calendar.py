"""The calendar feed. Expected lines from RFC 5545 (sections 3.1, 3.3.11, 3.6.1), worked by hand."""

from datetime import UTC, date, datetime

import pytest
from django.test import Client
from django.urls import reverse

from orders.interchange.actions import calendar_key, is_calendar_key, renew_calendar
from orders.interchange.icalendar import CalendarDay, calendar_file, escaped, folded
from orders.order_states import OrderState
from soapshop.clock import workshop_today
from tests.orders.money_builders import build_order

STAMP = datetime(2026, 5, 12, 9, 30, tzinfo=UTC)


def test_a_file_with_one_day_worked_by_hand():
    day = CalendarDay("order-1001-hand-over", date(2026, 8, 20), "Hand over 1001: 36 bars, wrapped")
    assert calendar_file([day], name="Workshop", host="shop.example", stamp=STAMP).split("\r\n") == [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//Workshop book//Days of the workshop//EN",
        "CALSCALE:GREGORIAN",
        "METHOD:PUBLISH",
        "X-WR-CALNAME:Workshop",
        "BEGIN:VEVENT",
        "UID:order-1001-hand-over@shop.example",
        "DTSTAMP:20260512T093000Z",
        "DTSTART;VALUE=DATE:20260820",
        "DTEND;VALUE=DATE:20260821",
        "SUMMARY:Hand over 1001: 36 bars\\, wrapped",
        "TRANSP:TRANSPARENT",
        "END:VEVENT",
        "END:VCALENDAR",
        "",
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    (
        ("a;b,c\\d", "a\\;b\\,c\\\\d"),
        ("two\nlines", "two\\nlines"),
        ("two\r\nlines", "two\\nlines"),
        ("bell\x07", "bell"),
        ("José 小明", "José 小明"),
    ),
)
def test_text_is_escaped(text, expected):
    assert escaped(text) == expected


@pytest.mark.parametrize("letter", ("a", "é", "小", "🧼"))
def test_no_line_has_more_than_75_octets_and_unfolding_gives_it_back(letter):
    line = "SUMMARY:" + letter * 200
    lines = folded(line).split("\r\n")
    assert max(len(part.encode()) for part in lines) <= 75
    assert lines[0] + "".join(part[1:] for part in lines[1:]) == line
    assert all(part.startswith(" ") for part in lines[1:])


def test_a_line_of_75_octets_is_not_folded():
    assert folded("x" * 75) == "x" * 75
    assert folded("x" * 76) == "x" * 75 + "\r\n x"


def test_the_feed_is_read_by_its_private_address_only(owner, workshop):
    build_order(by=owner, stage=OrderState.ACCEPTED, needed_by=workshop_today().replace(day=28))
    address = renew_calendar(by=owner)
    answer = Client().get(reverse("orders:calendar-feed", args=[calendar_key(address)]))
    assert (answer.status_code, answer["Content-Type"]) == (200, "text/calendar; charset=utf-8")
    assert "SUMMARY:Hand over 1001: 36 bars for Maren Holloway" in answer.content.decode()
    assert Client().get(reverse("orders:calendar-feed", args=["0" * 64])).status_code == 404


def test_renewing_closes_the_old_address(owner, workshop):
    first, second = renew_calendar(by=owner), renew_calendar(by=owner)
    assert not is_calendar_key(calendar_key(first))
    assert is_calendar_key(calendar_key(second))


def test_the_key_is_not_kept(owner, workshop):
    address = renew_calendar(by=owner)
    assert calendar_key(address) not in (address.seed, address.digest)
    assert len(calendar_key(address)) == 64
