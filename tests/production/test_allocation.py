"""Bars to order lines. The cases are worked by hand; the rule is the workshop's: due first, oldest released first."""

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from production.allocation import AllocationError, BarLot, Want, allocate

JUNE = date(2026, 6, 1)


def june(day):
    return JUNE + timedelta(days=day - 1)


def lot(batch, bars, ready, **more):
    return BarLot(batch, more.pop("design", "meadow"), bars, june(ready), **more)


def want(line, bars, due, **more):
    return Want(line, more.pop("design", "meadow"), bars, june(due), **more)


def given_of(result):
    return [(each.line, each.batch, each.bars) for each in result.given]


def test_due_first_oldest_released_first():
    result = allocate(
        [lot("B", 10, 3), lot("A", 10, 1)],
        [want("later", 12, 20), want("sooner", 6, 10)],
    )
    assert given_of(result) == [("sooner", "A", 6), ("later", "A", 4), ("later", "B", 8)]
    assert [(each.batch, each.bars) for each in result.free] == [("B", 2)]
    assert result.short == ()
    assert result.free_bars("meadow") == 2


def test_released_bars_go_before_bars_in_cure():
    result = allocate([lot("new", 5, 2, is_released=False), lot("old", 5, 4)], [want("L", 6, 10)])
    assert given_of(result) == [("L", "old", 5), ("L", "new", 1)]
    assert [each.is_released for each in result.given] == [True, False]
    assert result.free_bars("meadow") == 0


def test_finish_and_design_must_match():
    result = allocate(
        [lot("A", 6, 1, finish="seal"), lot("B", 6, 1, design="harbor")],
        [want("L", 6, 10), want("M", 6, 10, finish="seal")],
    )
    assert given_of(result) == [("M", "A", 6)]
    assert [(each.line, each.bars, each.text) for each in result.short] == [
        ("L", 6, "6 bars are missing. Plan a batch or agree on part delivery.")
    ]


def test_a_shortage_names_what_is_free_in_another_finish():
    result = allocate([lot("A", 9, 1, finish="seal")], [want("L", 1, 10)])
    assert result.short[0].text == "1 bar is missing. Free in another finish: seal."


def test_bars_ready_too_late_are_given_as_late_and_never_take_a_day_from_another_line():
    """The sooner line could only use batch C late; the later line needs it in time, so it comes first."""
    result = allocate([lot("C", 6, 15, is_released=False)], [want("sooner", 6, 10), want("later", 4, 20)])
    assert [(each.line, each.bars, each.is_late) for each in result.given] == [("later", 4, False), ("sooner", 2, True)]
    assert [(each.line, each.bars) for each in result.short] == [("sooner", 4)]


def test_personal_bars_serve_only_their_own_line():
    own = lot("A", 6, 5, only_for_line="L")
    assert given_of(allocate([own, lot("B", 6, 1)], [want("L", 6, 10), want("M", 6, 9)])) == [
        ("M", "B", 6),
        ("L", "A", 6),
    ]
    assert allocate([own], [want("M", 6, 10)]).free_bars("meadow") == 0


def test_bars_past_their_use_by_are_not_given():
    result = allocate([lot("A", 6, 1, use_by=june(9))], [want("L", 6, 10)])
    assert (given_of(result), result.short[0].bars) == ([], 6)
    assert given_of(allocate([lot("A", 6, 1, use_by=june(10))], [want("L", 6, 10)])) == [("L", "A", 6)]


def test_counts_below_zero_are_refused():
    with pytest.raises(AllocationError, match="below zero"):
        allocate([lot("A", -1, 1)], [])
    with pytest.raises(AllocationError, match="below zero"):
        allocate([], [want("L", -1, 1)])


lots = st.builds(
    BarLot,
    batch=st.sampled_from("ABCDEF"),
    design=st.sampled_from(("meadow", "harbor")),
    bars=st.integers(0, 40),
    ready_on=st.integers(1, 25).map(june),
    finish=st.sampled_from(("plain", "seal")),
    is_released=st.booleans(),
)
wants = st.builds(
    Want,
    line=st.text("LMN123", min_size=1, max_size=4),
    design=st.sampled_from(("meadow", "harbor")),
    bars=st.integers(0, 40),
    due_on=st.integers(1, 25).map(june),
    finish=st.sampled_from(("plain", "seal")),
)


def kinds(items):
    """Bars added up by what may stand for each other; given bars are found again through their batch."""
    return sum(item.bars for item in items)


@settings(max_examples=200, deadline=None)
@given(st.lists(lots, max_size=8), st.lists(wants, max_size=8))
def test_bars_are_neither_made_nor_lost(shelf, asked):
    """Given + free = on the shelf; given + short = wanted; nothing is short while a fitting bar lies free."""
    result = allocate(shelf, asked)
    assert kinds(result.given) + kinds(result.free) == kinds(shelf)
    assert kinds(result.given) + kinds(result.short) == kinds(asked)
    assert all(each.bars > 0 for each in (*result.given, *result.free, *result.short))
    kinds_free = {(each.design, each.finish) for each in result.free}
    for short in result.short:
        designs = {each.design for each in asked if each.line == short.line and each.finish == short.finish}
        assert not all((design, short.finish) in kinds_free for design in designs)
    by_line = {(each.line, each.finish): each for each in asked}
    for given_bars in result.given:
        assert (given_bars.line, given_bars.finish) in by_line
    assert allocate(list(reversed(shelf)), list(reversed(asked))).short == result.short or len(asked) != len(
        {(each.due_on, each.line, each.finish) for each in asked}
    )


@settings(max_examples=100, deadline=None)
@given(st.lists(lots, max_size=6), st.lists(wants, min_size=1, max_size=6), st.integers(0, 5))
def test_as_many_days_are_kept_as_can_be(shelf, asked, pick):
    """Independent count: of one kind, bars in time for the lines due by a day never exceed bars ready by it, and the
    most that can be on time is reached (lines in order of day, each taking what is ready)."""
    kind = (asked[pick % len(asked)].design, asked[pick % len(asked)].finish)
    own_lots = [each for each in shelf if (each.design, each.finish) == kind]
    own_wants = sorted((each for each in asked if (each.design, each.finish) == kind), key=lambda each: each.due_on)
    best, used = 0, 0
    for each in own_wants:
        ready = sum(lot.bars for lot in own_lots if lot.ready_on <= each.due_on)
        taken = min(each.bars, ready - used)
        used, best = used + taken, best + taken
    result = allocate(own_lots, own_wants)
    assert sum(each.bars for each in result.given if not each.is_late) == best
