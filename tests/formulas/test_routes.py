"""The usual route, its check, and its days. Days and minutes: common practice, no source."""

import pytest

from formulas.route_drawing import days_in_words, route_svg
from formulas.routes import (
    RoutePart,
    RouteRefused,
    Step,
    check_steps,
    part_steps,
    step_windows,
    usual_route,
    with_layer_note,
    with_part_steps,
)


@pytest.mark.parametrize("kinds", ((), ("seal",), ("topper", "dough"), ("embed", "seal", "topper", "dough")))
def test_the_usual_routes_can_be_followed(kinds: tuple[str, ...]):
    check_steps(usual_route(kinds))


def test_an_unfinished_bar_has_no_bevel_step():
    assert "bevel" not in [step.key for step in usual_route(is_finished=False)]
    assert "bevel" in [step.key for step in usual_route(is_finished=True)]


def test_steps_of_a_part_join_once():
    once = with_part_steps(usual_route(), ("seal",))
    assert with_part_steps(once, ("seal",)) == once
    assert [step.key for step in once].count("attach_seals") == 1


def test_days_are_counted_from_the_pour():
    # Worked by hand: cut on day 1 to 2; three days after it is day 4 to 6 (one to four days after the cut: 2 to 6).
    route = (
        Step("pour", "Pour"),
        Step("cut", "Cut", "pour", 1, 2),
        Step("bevel", "Bevel", "cut", 1, 4),
        Step("weigh", "Weigh", "cut", 0, None, every_days=7),
        Step("release", "Release", "release", 0, 0),
        Step("label", "Label", "label", 0, 0),
    )
    windows = step_windows(route, cure_days=42)
    assert [(window.first_day, window.last_day) for window in windows] == [
        (0, 0),
        (1, 2),
        (2, 6),
        (1, 42),
        (42, 42),
        (None, None),
    ]
    assert [days_in_words(window) for window in windows] == [
        "on the day of the pour",
        "day 1 to 2",
        "day 2 to 6",
        "day 1 to 42, every 7 days",
        "day 42",
        "after the release",
    ]
    assert "Bevel: day 2 to 6." in route_svg(windows)


def test_days_before_the_pour_are_said_as_such():
    windows = step_windows((Step("ahead", "Ahead", "pour", -7, -1), Step("eve", "Eve", "pour", -1, -1)), cure_days=42)
    assert [days_in_words(window) for window in windows] == ["7 to 1 days before the pour", "1 day before the pour"]


def test_a_label_is_drawn_as_text():
    windows = step_windows((Step("pour", "<b>Pour</b>"),), cure_days=42)
    assert "&lt;b&gt;Pour&lt;/b&gt;" in route_svg(windows)


def test_a_route_without_a_pour_is_refused():
    with pytest.raises(RouteRefused, match="The pour is missing"):
        check_steps((Step("cut", "Cut"),))
    check_steps((Step("pour", "Pour"), Step("cut", "Cut")))


def test_work_ahead_stands_before_the_pour_in_the_order_of_its_days():
    steps = usual_route(ahead=("fiber", "freeze"))
    check_steps(steps)
    keys = [step.key for step in steps]
    assert keys[: keys.index("pour") + 1] == ["gather", "freeze", "lye_ahead", "strain", "pour"]
    assert "freeze" not in [step.key for step in usual_route()]


def test_a_layered_loaf_is_cut_a_day_later_and_marked():
    """case-C51: the top layer lifted off at an early cut, the end slices first."""
    layered = {step.key: step for step in with_layer_note(usual_route())}
    told = {key: step.note for key, step in layered.items()}
    # A day later than the usual day 1 to 2: "cut window + 24 h".
    assert (layered["cut"].least_days, layered["cut"].most_days) == (2, 3)
    assert told["cut"].startswith("Layered: wait a day longer")
    assert {note for key, note in told.items() if key != "cut"} == {""}
    own = (Step("cut", "Cut", note="My own words"),)
    assert with_layer_note(own) == own


def days(steps: tuple[Step, ...]) -> dict[str, tuple[str, int, int | None]]:
    return {step.key: (step.anchor, step.least_days, step.most_days) for step in steps}


def test_a_part_is_made_so_early_that_it_has_rested():
    """Worked by hand: a seal is pressed 3 to 1 days before; one that rests 5 days, 5 days before at the latest."""
    assert days(part_steps("seal", [RoutePart("seal")]))["seals"] == ("pour", -3, -1)
    assert days(part_steps("seal", [RoutePart("seal", least_days=5)]))["seals"] == ("pour", -5, -5)
    assert days(part_steps("embed", [RoutePart("embed", least_days=7)]))["embeds"] == ("pour", -14, -7)
    # Not so early that it no longer holds: ten days at most.
    assert days(part_steps("embed", [RoutePart("embed", most_days=10)]))["embeds"] == ("pour", -10, -1)


def test_a_bought_part_is_not_made_but_attached():
    bought = part_steps("seal", [RoutePart("seal", is_bought=True, joins_cut_bars=True)])
    assert days(bought) == {"attach_seals": ("cut", 0, 2)}
    both = part_steps("seal", [RoutePart("seal", is_bought=True), RoutePart("seal")])
    assert [step.key for step in both] == ["seals", "attach_seals"]


def test_a_topper_for_cut_bars_is_attached_within_its_days():
    later = part_steps("topper", [RoutePart("topper", joins_cut_bars=True, window_days=1)])
    assert days(later)["attach_toppers"] == ("cut", 0, 1)
    assert "attach_toppers" not in days(part_steps("topper", [RoutePart("topper")]))
    seal = part_steps("seal", [RoutePart("seal", joins_cut_bars=True, window_days=4)])
    assert days(seal)["attach_seals"] == ("cut", 0, 4)


def test_every_kind_of_part_gives_a_route_that_can_be_followed():
    parts = [RoutePart(kind, joins_cut_bars=True) for kind in ("embed", "topper", "seal", "dough", "stamp")]
    check_steps(usual_route(parts=parts, ahead=("fiber", "freeze", "alcohol")))
