"""A long run of labels in the process beside the server: what one label costs, what memory it takes and gives back,
and how fast other pages are meanwhile.
"""

import json
import os
import threading
import time
from collections.abc import Iterable
from itertools import cycle
from statistics import quantiles

from django.urls import reverse

from production.benchmark.papers import finish_of, label_paper, labeled_batch
from production.benchmark.results import BusyCost, RunCost
from production.benchmark.server import CannotMeasure, get, mebibytes_of, post, served_shop, sign_in
from production.documents.label_records import LabelSheetPaper
from production.documents.label_sheet import label_sheet_pdf
from production.labels.reads import plain_ask
from soapshop.models import Workshop
from soapshop.paper_press import Press

FEW, MANY = 30, 300
QUIET_ANSWERS = 120
LEAST_BUSY_ANSWERS = 20
LONGEST_SECONDS = 300.0
FOUND = 302


def run_cost(*, rounds: int) -> RunCost:
    """Print few and many labels in turn beside this process, and look what both processes hold afterwards."""
    sheets, press = {count: label_paper(count) for count in (FEW, MANY)}, Press()
    try:
        _told(press, sheets[FEW])
        before = mebibytes_of(os.getpid())
        told = {count: [_told(press, sheet) for _ in range(rounds)] for count, sheet in sheets.items()}
        is_held = press.is_running
    finally:
        press.close()
    least = {count: min(seconds for seconds, _ in each) * 1000 / count for count, each in told.items()}
    return RunCost(
        few=FEW,
        many=MANY,
        few_milliseconds_a_label=least[FEW],
        many_milliseconds_a_label=least[MANY],
        mebibytes_beside=max(mebibytes for _, mebibytes in told[MANY]),
        is_held_beside=is_held,
        mebibytes_grown=mebibytes_of(os.getpid()) - before,
    )


def _told(press: Press, paper: LabelSheetPaper) -> tuple[float, float]:
    seconds, mebibytes = json.loads(press.print(timed_sheet, paper))
    return seconds, mebibytes


def timed_sheet(paper: LabelSheetPaper) -> bytes:
    """Make the sheet where this is called; return the processor time it took and the memory held after it."""
    began = time.process_time()
    label_sheet_pdf(paper)
    return json.dumps([time.process_time() - began, mebibytes_of(os.getpid())]).encode()


def busy_cost(paths: Iterable[str], *, username: str, password: str) -> BusyCost:
    """Ask a server for its pages, first alone and then while it prints many labels."""
    address, form = _print_form()
    asked = cycle(paths)
    with served_shop() as (port, _):
        cookie = sign_in(port, username=username, password=password)
        for _ in range(QUIET_ANSWERS):
            get(port, next(asked), cookie=cookie)  # once each, so that nothing is shown for the first time
        quiet = [_seconds(port, next(asked), cookie) for _ in range(QUIET_ANSWERS)]
        printed: list[int] = []

        def print_many() -> None:
            printed.append(post(port, address, form, cookie=cookie, seconds=LONGEST_SECONDS).status)

        printing = threading.Thread(target=print_many)
        printing.start()
        busy = []
        while printing.is_alive():
            busy.append(_seconds(port, next(asked), cookie))
        printing.join()
    if printed != [FOUND] or len(busy) < LEAST_BUSY_ANSWERS:
        raise CannotMeasure("The long run of labels was not printed, so nothing was measured beside it.")
    return BusyCost(len(busy), _p95(quiet) * 1000, _p95(busy) * 1000)


def _print_form() -> tuple[str, dict[str, str]]:
    batch = labeled_batch()
    ask = plain_ask(finish_of(batch), workshop=Workshop.current())
    form = {
        "do": "print",
        "finish": ask.finish,
        "market": ask.market,
        "style": ask.style,
        "stock": ask.stock,
        "copies": str(MANY),
        "spares": "0",
        "start_position": "1",
        "offset_x_mm": "0",
        "offset_y_mm": "0",
        "has_list": "on",
        "code": "batch",
        "reason": "Benchmark",
    }
    return reverse("production:batch-labels", args=[batch.number]), form


def _seconds(port: int, path: str, cookie: str) -> float:
    began = time.monotonic()
    get(port, path, cookie=cookie)
    return time.monotonic() - began


def _p95(seconds: list[float]) -> float:
    return quantiles(seconds, n=20)[-1]
