"""What was measured, each figure beside its aim, and how it is written."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from http import HTTPStatus

MOST_TIMES_FLOOR = 3
MOST_QUERIES = 12
MOST_TIMES_BARE_PAPER = 1.5
MOST_MEBIBYTES = 250


@dataclass(frozen=True)
class PageCost:
    """Milliseconds of processor time for one answer; queries in a small shop (None: not looked at) and a full one."""

    page: str
    milliseconds: float
    floor_milliseconds: float
    queries_few: int | None
    queries_many: int
    status: int = HTTPStatus.OK

    @property
    def ratio(self) -> float:
        return self.milliseconds / self.floor_milliseconds

    @property
    def misses(self) -> list[str]:
        """What is not as it should be, in words."""
        if self.status != HTTPStatus.OK:
            return [f"answers {self.status}"]
        found = []
        if self.ratio > MOST_TIMES_FLOOR:
            found.append("slow")
        if self.queries_many > MOST_QUERIES:
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
class ServerCost:
    """Memory of the serving process after so many answers, in mebibytes."""

    answers: int
    mebibytes: float

    @property
    def misses(self) -> list[str]:
        return ["large"] if self.mebibytes > MOST_MEBIBYTES else []


def page_lines(costs: Sequence[PageCost]) -> list[str]:
    rows = [
        (
            cost.page,
            f"{cost.milliseconds:.1f}",
            f"{cost.ratio:.2f}",
            "–" if cost.queries_few is None else str(cost.queries_few),
            str(cost.queries_many),
            ", ".join(cost.misses),
        )
        for cost in costs
    ]
    aims = ("Aim", "", f"≤ {MOST_TIMES_FLOOR}", "equal", f"≤ {MOST_QUERIES}", "")
    return table(("Page", "ms", "× floor", "queries, few rows", "many rows", "misses"), [*rows, aims])


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
