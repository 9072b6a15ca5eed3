"""The benchmark runs, measures each page and paper, and leaves every other shop alone. No figure of time is judged."""

import json
import os
import subprocess
import sys
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from orders.models import Order
from production.benchmark.pages import PAGES
from production.benchmark.results import (
    BusyCost,
    PageCost,
    PaperCost,
    RunCost,
    ServerCost,
    WriteCost,
    page_lines,
    run_lines,
    table,
)
from production.benchmark.server import CannotMeasure, free_port, mebibytes_of, wait_for_answer
from production.models import Batch, Lot
from soapshop.paper import render_pdf, watched_layouts

TINY = {"orders": 7, "batches": 5, "lots": 9, "rounds": 1, "paper_rounds": 1, "no_server": True, "no_press": True}


@pytest.fixture
def own_folder(settings, tmp_path):
    settings.DEMO = True
    settings.DATA_DIR = tmp_path / "bench" / "demo"


def test_a_tiny_run_measures_everything(db, own_folder):
    told = StringIO()
    call_command("bench", json=True, stdout=told, stderr=StringIO(), **TINY)
    figures = json.loads(told.getvalue())
    named_as_missing = [line.removeprefix("No such page yet: ").split(" (")[0] for line in figures["left_out"]]
    assert sorted([cost["page"] for cost in figures["pages"]] + named_as_missing) == sorted(page.name for page in PAGES)
    assert {cost["page"]: cost["status"] for cost in figures["pages"] if cost["status"] != 200} == {}
    grown = [cost["page"] for cost in figures["pages"] if cost["queries_few"] != cost["queries_many"]]
    assert grown == []
    assert (figures["refit"]["weighings"] > 0, figures["refit"]["misses"]) == (True, [])
    assert figures["writes"]["written"] == "A weighing saved"
    assert [cost["paper"] for cost in figures["papers"]] == ["Batch ticket", "Label sheet, 30 labels with codes"]
    assert Order.objects.filter(number__gte="90001", number__lte="90007").count() == 7
    assert Batch.objects.filter(number__startswith="B00-").count() == 5
    every_copied_lot_adds_up()

    told = StringIO()
    call_command("bench", reuse=True, stdout=told, stderr=StringIO(), **{**TINY, "paper_rounds": 0})
    assert Lot.objects.filter(code__startswith="L00-").count() == 9
    assert next(line for line in told.getvalue().splitlines() if line.startswith("Empty page")).split()[5:] == [
        "1.00",
        "3",
        "–",
        "3",
    ]


def every_copied_lot_adds_up():
    for lot in Lot.objects.filter(code__startswith="L00-").prefetch_related("moves"):
        assert sum(move.grams for move in lot.moves.all()) == lot.grams_left, lot.code


def test_it_refuses_any_other_shop(db, settings):
    with pytest.raises(CommandError) as refusal:
        call_command("bench", **TINY)
    assert str(refusal.value) == "The benchmark has a shop of its own. Start it as: python3 manage.py bench"
    settings.DEMO = True
    with pytest.raises(CommandError):
        call_command("bench", **TINY)
    assert not Order.objects.exists()


def page(**changes) -> PageCost:
    sound = {"page": "Orders", "milliseconds": 6, "floor_milliseconds": 3, "queries_few": 7, "queries_many": 7}
    return PageCost(**{**sound, **changes})


@pytest.mark.parametrize(
    ("cost", "misses"),
    (
        (page(), []),
        (page(queries_few=None), []),
        (page(milliseconds=9, queries_few=12, queries_many=12), []),
        (page(milliseconds=9.1), ["slow"]),
        (page(queries_few=13, queries_many=13), ["many queries"]),
        (page(queries_few=6), ["queries grow"]),
        (page(status=500, milliseconds=0, queries_many=0), ["answers 500"]),
        (PaperCost("Ticket", 150, 100, 1), []),
        (PaperCost("Ticket", 151, 100, 1), ["slow"]),
        (page(milliseconds=30, most_times=10), []),
        (page(milliseconds=31, most_times=10), ["slow"]),
        (WriteCost("A weighing saved", 8, 4), []),
        (WriteCost("A weighing saved", 8.1, 4), ["slow"]),
        (ServerCost(50, 250), []),
        (ServerCost(50, 251), ["large"]),
        (RunCost(30, 300, 70.0, 70.0, 500.0, False, 3.0), []),
        (RunCost(30, 300, 70.0, 71.0, 390.0, True, 3.0), ["slower in a long run"]),
        (RunCost(30, 300, 70.0, 60.0, 500.0, True, 26.0), ["memory kept by the server", "memory kept beside"]),
        (BusyCost(40, 50.0, 100.0), []),
        (BusyCost(40, 50.0, 100.1), ["pages are slowed"]),
    ),
)
def test_what_is_beside_its_aim_is_named(cost, misses):
    assert cost.misses == misses


def test_figures_stand_below_each_other():
    assert table(("Page", "ms", "misses"), [("Orders", "10.5", ""), ("Plan", "7.0", "slow")]) == [
        "Page      ms  misses",
        "Orders  10.5",
        "Plan     7.0  slow",
    ]
    assert page_lines([page()])[1] == "Orders  6.0     2.00      3                  7          7"


def test_a_long_run_is_told_in_words():
    assert run_lines(RunCost(30, 300, 70.0, 63.0, 500.0, False, 3.0), BusyCost(40, 50.0, 110.0)) == [
        "One of 300 labels: 63.0 ms, 0.90 × one of 30 (aim: ≤ 1)",
        "Beside the server it took 500 MB, given back after the run; the server itself grew by 3 MB",
        "19 of 20 pages within 110 ms while 40 were asked for during a long run: 2.20 × alone (aim: ≤ 2) "
        "– pages are slowed",
    ]


def test_a_process_has_a_size():
    assert 5 < mebibytes_of(os.getpid()) < 5000


def test_a_server_that_ends_is_not_waited_for():
    ended = subprocess.Popen([sys.executable, "-c", "raise SystemExit(3)"])
    ended.wait()
    with pytest.raises(CannotMeasure, match="exit status 3"):
        wait_for_answer(free_port(), ended, seconds=5)


def test_what_is_laid_out_is_seen_only_while_it_is_watched():
    html, css = '<html lang="en"><title>A</title><p>One</p></html>', ("@page { size: A5 }",)
    with watched_layouts() as sheets:
        render_pdf(html, stylesheets=css)
    render_pdf(html, stylesheets=css)
    assert [(sheet.html, sheet.stylesheets) for sheet in sheets] == [(html, css)]
