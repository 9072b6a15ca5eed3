"""Ways out for a late or short order. Days worked by hand."""

from dataclasses import replace
from datetime import date
from urllib.parse import parse_qs

import pytest
from django.urls import reverse

from production.trouble.choices import TroubleFacts, choices
from production.trouble.reads import trouble_facts, trouble_page
from tests.production.builders import TODAY, cut_of, make_design, make_order, planned_batch

# Needed Jun 1 with 2 days on the way and 3 to pack: off the rack by May 27.
SHORT = TroubleFacts(
    today=date(2026, 5, 12),
    needed_by=date(2026, 6, 1),
    travel_days=2,
    pack_days=3,
    cure_days=42,
    least_cure_days=28,
    bars=36,
    missing=10,
    ready=26,
    free_alike=0,
    free_plain=0,
    bars_coming=0,
    coming_on=None,
    price_of_missing="$79.00",
)


def way(facts: TroubleFacts, name: str):
    return next(choice for choice in choices(facts) if choice.name == name)


@pytest.mark.parametrize(
    ("needed", "is_open", "why"),
    (
        # off the rack by May 27; a pour today with 28 days is ready Jun 9, 13 days later
        (date(2026, 6, 1), False, "Poured today it would be ready 13 days too late. Soap cannot be hurried."),
        # off the rack by Jun 9, just the least cure
        (
            date(2026, 6, 14),
            True,
            "Poured by May 12, 2026 it has the least cure of 28 days, not the usual 42. "
            "An owner decides, and the label says best from when.",
        ),
        # off the rack by Jun 23, just the usual cure
        (date(2026, 6, 28), True, "It cures in time when poured by May 12, 2026."),
    ),
)
def test_a_second_pour_is_open_only_when_the_cure_fits(needed, is_open, why):
    choice = way(replace(SHORT, needed_by=needed), "A second pour")
    assert (choice.is_open, choice.why) == (is_open, why)


def test_bars_from_the_shelf():
    assert not way(SHORT, "Bars from the shelf").is_open
    assert way(replace(SHORT, free_alike=4), "Bars from the shelf").why == (
        "4 bars alike lie free: reserve them for this order."
    )


def test_part_now_and_the_rest_when_it_has_cured():
    # a pour today cures Jun 23, packing and the way take 5 days
    choice = way(SHORT, "Part now, the rest later")
    assert choice.offer == "26 bars in time and the other 10 about Jun 28, 2026, delivery on us"
    assert not way(replace(SHORT, ready=0), "Part now, the rest later").is_open


def test_plain_bars_and_money_back():
    assert way(replace(SHORT, free_plain=3), "Plain bars instead").offer == (
        "3 bars of the same design without the part on top, in time"
    )
    assert way(SHORT, "Money back").offer == "the 26 bars we have, and $79.00 back for the rest"


def test_nothing_missing_needs_no_choice():
    assert choices(replace(SHORT, missing=0)) == ()


def test_bars_in_cure_that_are_in_time_are_not_missing(owner, workshop):
    batch = planned_batch(owner)
    order = batch.serves.get().line.order
    assert trouble_facts(order, today=TODAY).missing == 0
    order.needed_by = date(2026, 6, 1)
    order.save()
    assert trouble_facts(order, today=TODAY).missing == 10


def test_the_page_leads_to_a_draft_with_the_open_choices(owner_client, owner):
    order = make_order(owner, make_design(owner), needed_by=date(2026, 6, 1))
    page = trouble_page(order.number, today=TODAY)
    assert parse_qs(page.letter_query)["about"] == ["late"]
    assert owner_client.get(reverse("production:order-trouble", args=[order.number])).status_code == 200
    assert owner_client.get(reverse("production:order-trouble", args=["9999"])).status_code == 404
    letter = owner_client.get(f"{reverse('orders:letter', args=[order.number])}?{page.letter_query}")
    # Poured today (May 12), cured on June 23, two days to label and pack: worked by hand.
    assert "all 12 bars together about Jun 25, 2026" in letter.context["form"].initial["body"]


def test_a_cut_batch_counts_as_coming(owner, workshop):
    order = cut_of(owner).serves.get().line.order
    assert trouble_facts(order, today=TODAY).bars_coming == 10
