"""What goes otherwise without a weight: who is asked, until when another pour is a choice, what spares make up for."""

from datetime import date

import pytest

from production.batches.slips import OrderToAsk, broken_words, last_pour_again, looks_words, scent_of_swap_words

TODAY = date(2026, 5, 12)


def test_the_last_day_to_pour_again():
    """Worked by hand: July 31 less 3 days on the way, 2 to pack and 42 of cure is June 14."""
    day = last_pour_again(needed_by=date(2026, 7, 31), travel_days=3, pack_days=2, cure_days=42)
    assert day == date(2026, 6, 14)


def test_bars_that_look_otherwise_are_asked_about_before_the_cure_is_spent():
    """C51: a miscolored layer is decided by the client before cure time is spent."""
    orders = (OrderToAsk("1001", date(2026, 5, 20)), OrderToAsk("1002", date(2026, 5, 2)))
    assert looks_words(orders, today=TODAY) == (
        "The bars look otherwise than agreed. Show a photo and ask before the cure is spent: order 1001, last day to "
        "pour again May 20; 1002, too late to pour again with a full cure."
    )


def test_bars_for_nobody_are_nobodys_question():
    assert looks_words((), today=TODAY) == (
        "The bars look otherwise than drawn. No order waits for them: sell them as they are."
    )


@pytest.mark.parametrize(("scented", "words"), (({"A"}, "jug A"), ({"A", "B"}, ""), (set(), "")))
def test_a_swap_moves_scent_only_when_one_jug_has_it(scented: set[str], words: str):
    said = scent_of_swap_words(("A", "B"), frozenset(scented))
    assert said == (f"The scent of {words} now lies where an unscented part was drawn." if words else "")


def test_spares_make_up_for_what_broke():
    assert broken_words(broken=1, spares_left=2) == "1 piece gone; the spares make up for it, 2 are left."
    assert broken_words(broken=3, spares_left=-1) == (
        "3 pieces gone, 1 short: make more, or offer plain bars. Without them 1 bar will not look as ordered."
    )
