"""Whether an order is at risk. Days worked by hand from a needed-by day of Sunday, 9 August 2026.

Three days on the way and three to pack: it leaves on August 6 and its bars must be released by August 3. A full cure
of 42 days then means a pour by June 22, the least of 28 days one by July 6.
"""

from datetime import date
from typing import Any

import pytest

from production.today.risk import BatchAtStake, LineAtStake, OrderAtStake, Risk, judge_order

NEEDED = date(2026, 8, 9)
EARLY, PAST_FULL, PAST_LEAST = date(2026, 6, 1), date(2026, 6, 23), date(2026, 7, 7)


def order(*batches: BatchAtStake, given: int = 0, is_ready: bool = False, bars: int = 24) -> OrderAtStake:
    line = LineAtStake("Dune", bars=bars, given=given, cure_days=42, least_cure_days=28, batches=batches)
    return OrderAtStake("1001", NEEDED, travel_days=3, pack_days=3, is_ready=is_ready, lines=(line,))


def batch(**facts: Any) -> BatchAtStake:
    plain = {"number": "B26-001", "planned": 24, "can_give": 24}
    on_time = {"ready_on": date(2026, 8, 3), "least_ready_on": date(2026, 7, 20)}
    return BatchAtStake(**{**plain, **on_time, **facts})


def sentences(found: tuple[Risk, ...]) -> list[str]:
    return [risk.sentence for risk in found]


def test_an_order_whose_bars_are_ready_on_the_last_day_is_well():
    assert judge_order(order(batch()), today=EARLY) == ()


def test_bars_cured_a_day_too_late_may_leave_after_the_least_cure():
    found = judge_order(order(batch(ready_on=date(2026, 8, 4), least_ready_on=date(2026, 7, 21))), today=EARLY)
    assert sentences(found) == [
        "B26-001 is cured on Tue, Aug 4, 1 day too late to pack. It may leave after the least cure, from Tue, Jul 21."
    ]
    assert not found[0].is_lost


def test_bars_too_late_even_after_the_least_cure_lose_the_day():
    found = judge_order(order(batch(ready_on=date(2026, 8, 18), least_ready_on=date(2026, 8, 4))), today=EARLY)
    assert sentences(found) == [
        "B26-001 is cured on Tue, Aug 18, 15 days too late to pack. Agree on a later day with the customer."
    ]
    assert found[0].is_lost


def test_released_bars_are_never_late_for_their_cure():
    assert judge_order(order(batch(ready_on=None, least_ready_on=None)), today=EARLY) == ()


@pytest.mark.parametrize(
    ("today", "expected"),
    (
        pytest.param(date(2026, 6, 18), [], id="four days before the pour-by day"),
        pytest.param(
            date(2026, 6, 19),
            ["24 bars of Dune are in no batch, and the last day to pour is Mon, Jun 22. Plan its batches now."],
            id="three days before it",
        ),
        pytest.param(
            date(2026, 6, 23),
            [
                "24 bars of Dune are in no batch, and the last day for the full cure was Mon, Jun 22. "
                "Pour by Mon, Jul 6 with the least cure of 28 days."
            ],
            id="the day after it",
        ),
        pytest.param(
            date(2026, 7, 7),
            [
                "24 bars of Dune are in no batch, and since Mon, Jul 6 not even the least cure fits. "
                "Agree on a later day or a part delivery, then plan the pour."
            ],
            id="the day after the least cure",
        ),
    ),
)
def test_bars_in_no_batch(today, expected):
    assert sentences(judge_order(order(), today=today)) == expected


def test_one_bar_is_spoken_of_as_one():
    found = judge_order(order(batch(planned=23, can_give=23)), today=PAST_FULL)
    assert found[0].text == "1 bar of Dune is in no batch, and the last day for the full cure was Mon, Jun 22."


def test_bars_given_from_stock_need_no_batch():
    assert judge_order(order(given=24), today=PAST_LEAST) == ()


@pytest.mark.parametrize(
    ("today", "mend"),
    (
        (EARLY, "Decide on it, or pour again by Mon, Jun 22."),
        (PAST_FULL, "Decide on it, or pour again by Mon, Jul 6 with the least cure."),
        (PAST_LEAST, "Decide on it and warn the customer: a new pour would come too late."),
    ),
)
def test_a_held_batch_stops_its_bars(today, mend):
    found = judge_order(order(batch(is_held=True, hold_reason="Too heavy on lye.")), today=today)
    assert sentences(found) == [f"B26-001 is on hold (Too heavy on lye); 24 bars of Dune hang on it. {mend}"]


def test_a_held_batch_that_owes_nothing_more_is_no_worry():
    assert judge_order(order(batch(is_held=True, planned=0, can_give=0), given=24), today=EARLY) == ()


@pytest.mark.parametrize(
    ("today", "mend"),
    (
        (EARLY, "Take free bars, pour 3 more by Mon, Jul 6, or agree on 21 of 24 bars."),
        (PAST_LEAST, "Take free bars, or agree on 21 of 24 bars: a new pour would come too late."),
    ),
)
def test_too_few_good_bars(today, mend):
    found = judge_order(order(batch(can_give=21)), today=today)
    assert sentences(found) == [f"B26-001 gives 3 bars of Dune too few. {mend}"]


def test_an_order_still_here_after_its_day_is_lost_first():
    found = judge_order(order(batch(can_give=21)), today=date(2026, 8, 8))
    assert found[0] == Risk(
        "It should have left on Thu, Aug 6, 2 days ago.", "Tell the customer today and agree on a new day.", True
    )
    assert len(found) == 2


def test_an_order_with_all_its_bars_only_needs_handing_over():
    late = judge_order(order(given=24, is_ready=True), today=date(2026, 8, 7))
    assert sentences(late) == ["It should have left on Thu, Aug 6, 1 day ago. Hand it over now, and tell the customer."]
    assert judge_order(order(given=24, is_ready=True), today=date(2026, 8, 6)) == ()


def test_a_ready_order_whose_bars_were_taken_is_at_risk():
    found = judge_order(order(given=20, is_ready=True), today=EARLY)
    assert sentences(found) == [
        "The book says it is ready, but 4 bars are not kept for it. "
        "Reserve bars on its page, or agree on a part delivery."
    ]
