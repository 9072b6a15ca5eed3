"""What was measured, each figure beside its aim, and how it is written."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from http import HTTPStatus

MOST_TIMES_FLOOR = 3
MOST_QUERIES = 12
MOST_TIMES_BARE_PAPER = 1.5
MOST_TIMES_FLOOR_WRITE = 2
MOST_MEBIBYTES = 250
MOST_REFIT_MILLISECONDS = 50
MOST_TIMES_A_SHORT_RUN = 1
MOST_TIMES_QUIET = 2
# The paper itself passes through the server: a sheet of 300 labels has a few megabytes.
MOST_GROWN_MEBIBYTES = 25
MOST_HELD_MEBIBYTES = 400


@dataclass(frozen=True)
class PageCost:
    """Milliseconds of processor time for one answer; queries in a small shop (None: not looked at) and a full one."""

    page: str
    milliseconds: float
    floor_milliseconds: float
    queries_few: int | None
    queries_many: int
    status: int = HTTPStatus.OK
    most_times: int = MOST_TIMES_FLOOR
    most_queries: int = MOST_QUERIES

    @property
    def ratio(self) -> float:
        return self.milliseconds / self.floor_milliseconds

    @property
    def misses(self) -> list[str]:
        """What is not as it should be, in words."""
        if self.status != HTTPStatus.OK:
            return [f"answers {self.status}"]
        found = []
        if self.ratio > self.most_times:
            found.append("slow")
        if self.queries_many > self.most_queries:
            found.append("many queries")
        if self.queries_few is not None and self.queries_many > self.queries_few:
            found.append("queries grow")
        return found


@dataclass(frozen=True)
class PaperCost:
    """Milliseconds of processor time from the rows to the PDF, and of the bare rendering of the same HTML."""

    paper: str
    milliseconds: float
    bare_milliseconds: float
    pages: int

    @property
    def ratio(self) -> float:
        return self.milliseconds / self.bare_milliseconds

    @property
    def misses(self) -> list[str]:
        return ["slow"] if self.ratio > MOST_TIMES_BARE_PAPER else []


@dataclass(frozen=True)
class WriteCost:
    """Milliseconds until the answer to something written down, and to the least that can be."""

    written: str
    milliseconds: float
    floor_milliseconds: float

    @property
    def ratio(self) -> float:
        return self.milliseconds / self.floor_milliseconds

    @property
    def misses(self) -> list[str]:
        return ["slow"] if self.ratio > MOST_TIMES_FLOOR_WRITE else []


@dataclass(frozen=True)
class ServerCost:
    """Memory of the serving process after so many answers, in mebibytes."""

    answers: int
    mebibytes: float

    @property
    def misses(self) -> list[str]:
        return ["large"] if self.mebibytes > MOST_MEBIBYTES else []


@dataclass(frozen=True)
class RunCost:
    """Processor time of one label in a short and in a long run, made beside the server; memory in mebibytes.

    `is_held_beside` says whether the process beside still stands after the long run; it goes by itself once it has
    grown too large, and after a quiet while. `mebibytes_grown` is what this very process grew by.
    """

    few: int
    many: int
    few_milliseconds_a_label: float
    many_milliseconds_a_label: float
    mebibytes_beside: float
    is_held_beside: bool
    mebibytes_grown: float

    @property
    def ratio(self) -> float:
        return self.many_milliseconds_a_label / self.few_milliseconds_a_label

    @property
    def misses(self) -> list[str]:
        found = ["slower in a long run"] if self.ratio > MOST_TIMES_A_SHORT_RUN else []
        if self.mebibytes_grown > MOST_GROWN_MEBIBYTES:
            found.append("memory kept by the server")
        if self.is_held_beside and self.mebibytes_beside > MOST_HELD_MEBIBYTES:
            found.append("memory kept beside")
        return found


@dataclass(frozen=True)
class BusyCost:
    """The time within which 19 of 20 pages answer, alone and while a long run of labels is printed."""

    answers: int
    quiet_milliseconds: float
    busy_milliseconds: float

    @property
    def ratio(self) -> float:
        return self.busy_milliseconds / self.quiet_milliseconds

    @property
    def misses(self) -> list[str]:
        return ["pages are slowed"] if self.ratio > MOST_TIMES_QUIET else []


@dataclass(frozen=True)
class RefitCost:
    """Milliseconds of processor time to fit one batch's drying curve and its ready day anew."""

    weighings: int
    milliseconds: float

    @property
    def misses(self) -> list[str]:
        return ["slow"] if self.milliseconds > MOST_REFIT_MILLISECONDS else []


def run_lines(run: RunCost | None, busy: BusyCost | None) -> list[str]:
    lines = []
    if run is not None:
        lines.append(
            f"One of {run.many} labels: {run.many_milliseconds_a_label:.1f} ms, {run.ratio:.2f} × one of {run.few} "
            f"(aim: ≤ {MOST_TIMES_A_SHORT_RUN}){_missed(run.misses)}"
        )
        state = "still held" if run.is_held_beside else "given back"
        lines.append(
            f"Beside the server it took {run.mebibytes_beside:.0f} MB, {state} after the run; "
            f"the server itself grew by {run.mebibytes_grown:.0f} MB"
        )
    if busy is not None:
        lines.append(
            f"19 of 20 pages within {busy.busy_milliseconds:.0f} ms while {busy.answers} were asked for during a long "
            f"run: {busy.ratio:.2f} × alone (aim: ≤ {MOST_TIMES_QUIET}){_missed(busy.misses)}"
        )
    return lines


def _missed(misses: Sequence[str]) -> str:
    return f" – {', '.join(misses)}" if misses else ""


def page_lines(costs: Sequence[PageCost]) -> list[str]:
    rows = [
        (
            cost.page,
            f"{cost.milliseconds:.1f}",
            f"{cost.ratio:.2f}",
            str(cost.most_times),
            "–" if cost.queries_few is None else str(cost.queries_few),
            str(cost.queries_many),
            ", ".join(cost.misses),
        )
        for cost in costs
    ]
    aims = ("Aim", "", "", "", "equal", f"≤ {MOST_QUERIES}", "")
    return table(("Page", "ms", "× floor", "aim ≤", "queries, few rows", "many rows", "misses"), [*rows, aims])


def paper_lines(costs: Sequence[PaperCost]) -> list[str]:
    rows = [
        (
            cost.paper,
            f"{cost.milliseconds:.0f}",
            f"{cost.bare_milliseconds:.0f}",
            f"{cost.ratio:.2f}",
            str(cost.pages),
            ", ".join(cost.misses),
        )
        for cost in costs
    ]
    aims = ("Aim", "", "", f"≤ {MOST_TIMES_BARE_PAPER}", "", "")
    return table(("Paper", "ms", "bare ms", "× bare", "pages", "misses"), [*rows, aims])


def write_lines(cost: WriteCost) -> list[str]:
    figures = (f"{cost.milliseconds:.1f}", f"{cost.floor_milliseconds:.1f}", f"{cost.ratio:.2f}")
    row = (cost.written, *figures, ", ".join(cost.misses))
    aims = ("Aim", "", "", f"≤ {MOST_TIMES_FLOOR_WRITE}", "")
    return table(("Written", "ms", "least write ms", "× least", "misses"), [row, aims])


def table(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> list[str]:
    """Set columns below each other: names to the left, figures to the right, the last column (words) to the left."""
    lines = [head, *rows]
    widths = [max(len(line[column]) for line in lines) for column in range(len(head))]
    last = len(head) - 1
    return [
        "  ".join(
            cell.ljust(widths[column]) if column in (0, last) else cell.rjust(widths[column])
            for column, cell in enumerate(line)
        ).rstrip()
        for line in lines
    ]
