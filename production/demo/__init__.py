"""A small invented shop, played through the same actions that the pages use, relative to the day it is started."""

from datetime import date
from zoneinfo import ZoneInfo

from django.utils import timezone

from production.demo.book import write_book
from production.demo.care import list_packs, set_up_scales, start_timers, write_notes
from production.demo.drill import hold_drill
from production.demo.labeled import label_bars
from production.demo.leftovers import keep_leftovers
from production.demo.shelf import SETTINGS, fill_shelf, set_up_workshop
from production.demo.till import set_house_rules
from production.demo.tried import make_pots_of_parts, mix_blends, pour_tests
from production.demo.year import play_year
from production.today.actions import refresh_risks
from soapshop.models import User


def play_demo(*, today: date, by: User | None = None) -> None:
    """Play the shop's year up to ``today``. The same day gives the same shop, number for number."""
    owner = by or User.objects.filter(role=User.Role.OWNER).order_by("pk").first()
    if owner is None:
        raise ValueError("The demo shop needs its owner's account first.")
    set_up_workshop(by=owner)
    set_house_rules(by=owner)
    shelf = fill_shelf(today=today, by=owner)
    set_up_scales(by=owner)
    list_packs(shelf, by=owner)
    book = write_book(shelf, mix_blends(shelf, by=owner), by=owner)
    play_year(book, today=today, by=owner)
    make_pots_of_parts(book, today=today, by=owner)
    pour_tests(book, today=today, by=owner)
    label_bars(today=today, by=owner)
    write_notes(today=today, by=owner)
    start_timers(by=owner)
    keep_leftovers(today=today, by=owner)
    hold_drill(today=today, by=owner)
    refresh_risks(today=today)


def demo_today() -> date:
    """Return the day at the demo shop's place, before its settings are written."""
    return timezone.localdate(timezone=ZoneInfo(SETTINGS["time_zone"]))
