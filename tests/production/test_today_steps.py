"""Which steps can be done today. All cases are worked by hand."""

from datetime import date, timedelta

import pytest

from production.today.steps import OpenStep, doable_steps, effort_text

TODAY = date(2026, 5, 12)
DAY = timedelta(days=1)


def step(position: int, key: str, due: date = TODAY, last: date | None = None, batch: str = "B26-001") -> OpenStep:
    return OpenStep(position, batch, "Dune", position, key, key.title(), due, last, 10)


def keys(*steps: OpenStep) -> list[str]:
    return [found.key for found in doable_steps(steps, today=TODAY)]


def test_nothing_waits_behind_an_open_pour():
    assert keys(step(1, "gather"), step(2, "pour"), step(3, "cut"), step(4, "bevel")) == ["gather", "pour"]


def test_after_the_pour_the_cut_is_next():
    assert keys(step(3, "cut"), step(4, "bevel")) == ["cut"]
    assert keys(step(4, "bevel"), step(5, "release"), step(6, "label")) == ["bevel", "release"]


def test_batches_do_not_wait_for_each_other():
    assert keys(step(2, "pour"), step(4, "bevel", batch="B26-002")) == ["pour", "bevel"]


def test_what_is_due_tomorrow_is_not_shown():
    assert keys(step(1, "gather", TODAY + DAY), step(2, "seals", TODAY)) == ["seals"]


def test_a_step_is_late_only_after_its_last_day():
    found = doable_steps(
        (
            step(1, "gather", TODAY - 5 * DAY, TODAY),
            step(2, "seals", TODAY - 5 * DAY, TODAY - DAY),
            step(3, "dough", TODAY - 5 * DAY),
        ),
        today=TODAY,
    )
    assert [(each.key, each.is_overdue) for each in found] == [("dough", True), ("seals", True), ("gather", False)]


@pytest.mark.parametrize(("key", "here"), (("gather", True), ("pour", False), ("cut", False), ("release", False)))
def test_what_is_weighed_or_judged_is_done_on_its_own_page(key, here):
    assert step(1, key).is_ticked_here is here


@pytest.mark.parametrize(
    ("minutes", "text"), ((0, "0 min"), (45, "45 min"), (60, "1 h"), (200, "3 h 20 min"), (1440, "24 h"))
)
def test_effort_is_written_in_hours(minutes, text):
    assert effort_text(minutes) == text
