"""What each page costs: processor time in this very process, without a network, and its queries."""

import time
from collections.abc import Callable
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any

from django.db import connection
from django.db.models import Count
from django.test import Client
from django.test.utils import CaptureQueriesContext, override_settings
from django.urls import NoReverseMatch, reverse

from formulas.models import Design, FormulaRevision
from orders.models import Order
from orders.order_states import OrderState
from production.batch_states import BatchState
from production.batches.models import Batch
from production.benchmark.results import MOST_QUERIES, MOST_TIMES_FLOOR, PageCost
from production.stock.models import Lot
from soapshop.models import User

FLOOR = "Empty page, signed in"
ADDRESSES = "production.benchmark.urls"
# A page as slow as this is shown a few times only: its figure is plain enough.
SLOW_SECONDS = 0.5
ROUNDS_OF_A_SLOW_PAGE = 3


@dataclass(frozen=True)
class Page:
    """One page by the name of its address, and how to find the thing it shows in a shop."""

    name: str
    url_name: str
    shown: Callable[[], tuple[Any, ...]] = tuple
    asked: Callable[[], dict[str, str]] = dict
    most_times: int = MOST_TIMES_FLOOR
    most_queries: int = MOST_QUERIES

    def address(self) -> str:
        return reverse(self.url_name, args=self.shown(), query=self.asked())


def _batch_in(*states: BatchState) -> tuple[Any, ...]:
    batch = Batch.objects.filter(status__in=[state.value for state in states]).order_by("-planned_bars", "pk").first()
    return ((batch or Batch.objects.order_by("pk")[0]).number,)


def _order() -> tuple[Any, ...]:
    """The order in work with the most lines."""
    orders = Order.objects.annotate(size=Count("lines")).order_by("-size", "pk")
    return ((orders.filter(status=OrderState.IN_PRODUCTION.value).first() or orders[0]).number,)


def _revision() -> tuple[Any, ...]:
    revision = FormulaRevision.objects.annotate(size=Count("lines")).order_by("-size", "pk")[0]
    return revision.formula_id, revision.number


def _design() -> tuple[Any, ...]:
    return (Design.objects.annotate(size=Count("parts")).order_by("-size", "pk")[0].pk,)


def _lot() -> tuple[Any, ...]:
    return (Lot.objects.annotate(size=Count("moves")).order_by("-size", "pk")[0].code,)


def _traced() -> dict[str, str]:
    """The lot that most batches were weighed from."""
    lots = Lot.objects.filter(weighings__actual_grams__gt=0).annotate(size=Count("weighings")).order_by("-size", "pk")
    return {"what": lots[0].code}


PAGES = (
    Page(FLOOR, "benchmark-empty"),
    Page("Today", "production:today"),
    Page("Orders", "orders:order-list"),
    Page("One order", "orders:order", _order),
    Page("Formulas", "formulas:formula-list"),
    Page("One formula", "formulas:revision", _revision),
    Page("Designs", "formulas:design-list"),
    Page("One design", "formulas:design", _design),
    Page("Plan", "production:plan"),
    Page("Bench", "production:bench"),
    Page("One batch", "production:batch", lambda: _batch_in(BatchState.IN_PROCESS)),
    Page("Cure rack", "production:cure-rack"),
    Page(
        "One batch on the rack",
        "production:cure-batch",
        lambda: _batch_in(BatchState.CURING, BatchState.READY_FOR_REVIEW),
    ),
    Page("Labels", "production:label-list"),
    Page("Labels of one batch", "production:batch-labels", lambda: _batch_in(BatchState.RELEASED)),
    Page("Stores", "production:stores"),
    Page("Lots", "production:lot-list"),
    Page("One lot", "production:lot", _lot),
    Page("Trace of one lot", "production:trace", asked=_traced, most_times=10, most_queries=24),
    Page("People", "people"),
    Page("Settings", "workshop-settings"),
)


@dataclass(frozen=True)
class Addresses:
    """Page name → path, chosen in the small shop and kept for the full one; and the names that lead nowhere yet."""

    paths: dict[str, str]
    missing: list[str]


@override_settings(ROOT_URLCONF=ADDRESSES)
def addresses() -> Addresses:
    found = Addresses({}, [])
    for page in PAGES:
        try:
            found.paths[page.name] = page.address()
        except NoReverseMatch:
            found.missing.append(f"{page.name} ({page.url_name})")
    return found


def signed_in_client() -> Client:
    """Return a client whose answers, even broken ones, come back as a status."""
    client = Client(raise_request_exception=False, SERVER_NAME="127.0.0.1")
    client.force_login(User.objects.filter(role=User.Role.OWNER, is_active=True).order_by("pk")[0])
    return client


@override_settings(ROOT_URLCONF=ADDRESSES)
def statuses(paths: dict[str, str]) -> dict[str, int]:
    """Show each page once; what a process makes on first use, such as templates, is made here."""
    client = signed_in_client()
    return {name: client.get(path).status_code for name, path in paths.items()}


@override_settings(ROOT_URLCONF=ADDRESSES)
def query_counts(paths: dict[str, str]) -> dict[str, int]:
    """Return the queries of each page, shown once before."""
    client = signed_in_client()
    counts = {}
    for name, path in paths.items():
        with CaptureQueriesContext(connection) as queries:
            client.get(path)
        counts[name] = len(queries)
    return counts


@override_settings(ROOT_URLCONF=ADDRESSES)
def least_seconds(paths: dict[str, str], *, rounds: int) -> dict[str, float]:
    """Show all pages in turn, round after round, and return each page's least: what it costs undisturbed."""
    client = signed_in_client()
    least: dict[str, float] = {}
    for turn in range(rounds):
        for name, path in paths.items():
            if turn < ROUNDS_OF_A_SLOW_PAGE or least[name] < SLOW_SECONDS:
                least[name] = min(_seconds(client, path), least.get(name, float("inf")))
    return least


def page_costs(found: Addresses, *, queries_few: dict[str, int] | None, rounds: int) -> list[PageCost]:
    """Measure every page that answers; one that does not is named with what it says instead."""
    told = statuses(found.paths)
    sound = {name: path for name, path in found.paths.items() if told[name] == HTTPStatus.OK}
    counts = query_counts(sound)
    least = least_seconds(sound, rounds=rounds)
    aims = {page.name: page for page in PAGES}
    return [
        PageCost(
            page=name,
            milliseconds=least.get(name, 0.0) * 1000,
            floor_milliseconds=least[FLOOR] * 1000,
            queries_few=None if queries_few is None else queries_few.get(name),
            queries_many=counts.get(name, 0),
            status=told[name],
            most_times=aims[name].most_times,
            most_queries=aims[name].most_queries,
        )
        for name in found.paths
    ]


def _seconds(client: Client, path: str) -> float:
    began = time.process_time()
    client.get(path)
    return time.process_time() - began
