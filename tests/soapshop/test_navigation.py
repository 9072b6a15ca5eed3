from soapshop.navigation import SHELVES, WORK, Station, links

SETTINGS = Station("Settings", "workshop-settings", "settings")
ELSEWHERE = Station("Elsewhere", "production:no-such-page", "elsewhere")


def test_the_order_is_the_order_of_the_work():
    assert [station.name for station in WORK] == ["Today", "Orders", "Plan", "Bench", "Cure rack", "Labels"]
    assert [station.name for station in SHELVES] == ["Formulas", "Designs", "Stores", "Trace", "Money", "Settings"]


def test_the_present_page_and_those_below_it_are_marked():
    assert links((SETTINGS,), path="/settings/")[0].is_here
    assert links((SETTINGS,), path="/settings/people/")[0].is_here
    assert not links((SETTINGS,), path="/orders/")[0].is_here


def test_a_page_that_does_not_exist_is_left_out():
    assert [link.name for link in links((ELSEWHERE, SETTINGS), path="/")] == ["Settings"]
