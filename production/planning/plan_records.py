"""What the planner is given and what it answers: frozen records of whole numbers and dates.

Minutes, milligrams and bars are integers, bench time per bar comes in tenths of a minute. Days between steps are
figures of the design. A line due on a day must be packed on an earlier one.
"""

from dataclasses import dataclass, field
from datetime import date

POUR, CUT, RELEASE = "pour", "cut", "release"
# The finish of a bar without any part on it, and of bars that can still get any.
PLAIN, ANY_FINISH = "plain", ""


@dataclass(frozen=True)
class BenchDay:
    """A day somebody works, and the bench minutes there are. Days not listed are closed."""

    day: date
    minutes: int


@dataclass(frozen=True)
class PlanStep:
    """A step at least and at most so many calendar days after its anchor; `most_days` None means no end."""

    key: str
    anchor: str
    least_days: int
    most_days: int | None
    fixed_minutes: int = 0
    tenths_per_bar: int = 0


@dataclass(frozen=True)
class MoldYield:
    """Bars a design gives in one way of filling: all that are cut, and those that can be promised after spares.

    `mold` names the way; it takes `filled` molds of the type `takes` (the same name when left empty). A way that is
    not `is_for_new` is known only because a batch is made that way already.
    """

    mold: str
    gross_bars: int
    net_bars: int
    takes: str = ""
    filled: int = 1
    is_for_new: bool = True

    @property
    def mold_type(self) -> str:
        return self.takes or self.mold


@dataclass(frozen=True)
class PlanDesign:
    """`steps` hold at least pour, cut and release; `uses` are (ingredient, milligrams per gross bar)."""

    key: str
    yields: tuple[MoldYield, ...]
    steps: tuple[PlanStep, ...]
    uses: tuple[tuple[str, int], ...] = ()
    pack_tenths_per_bar: int = 0


@dataclass(frozen=True)
class PlanLine:
    """Bars of one design and finish for one day; a late day counts `weight` times."""

    key: str
    design: str
    bars: int
    due_on: date
    weight: int = 1
    finish: str = PLAIN


@dataclass(frozen=True)
class PlanStock:
    """Free bars that exist already, cured or curing, and the last day they may be packed.

    What is finished serves lines of the same finish only; bars still to be made get theirs when they are.
    """

    key: str
    design: str
    bars: int
    ready_on: date
    use_by: date | None = None
    finish: str = PLAIN

    def fits(self, line: PlanLine) -> bool:
        return self.design == line.design and self.finish in (ANY_FINISH, line.finish)


@dataclass(frozen=True)
class Supply:
    """Milligrams on hand and (day, milligrams) still to come; a delivery counts on its own day."""

    ingredient: str
    on_hand_mg: int
    deliveries: tuple[tuple[date, int], ...] = ()


@dataclass(frozen=True)
class PlannedBatch:
    """One pour: its mold and the day of every step."""

    key: str
    design: str
    mold: str
    days: tuple[tuple[str, date], ...]

    def on(self, step: str) -> date:
        return dict(self.days)[step]


@dataclass(frozen=True)
class Share:
    """Bars of a batch or a stock lot that go to a line."""

    line: str
    source: str
    bars: int


@dataclass(frozen=True)
class PlanInput:
    """Everything a plan depends on. `fixed` batches are started or pinned and never move.

    `movable` batches are planned already and keep their way of filling, but may get other days. `reserved` bars of
    fixed and movable batches or of stock belong to a line and stay with it.
    """

    today: date
    bench: tuple[BenchDay, ...]
    designs: tuple[PlanDesign, ...]
    molds: tuple[tuple[str, int], ...]
    lines: tuple[PlanLine, ...]
    rack_bars: int
    pours_per_day: int = 2
    buffer_days: int = 3
    stock: tuple[PlanStock, ...] = ()
    fixed: tuple[PlannedBatch, ...] = ()
    supplies: tuple[Supply, ...] = ()
    movable: tuple[PlannedBatch, ...] = ()
    reserved: tuple[Share, ...] = ()


@dataclass(frozen=True)
class Plan:
    batches: tuple[PlannedBatch, ...] = ()
    shares: tuple[Share, ...] = ()
    packs: tuple[tuple[str, date], ...] = ()


@dataclass(frozen=True)
class Score:
    """Compared in this order, smaller is better."""

    late_days: int
    batches: int
    leftover_bars: int
    days_off_target: int

    @property
    def order(self) -> tuple[int, int, int]:
        return self.late_days, 1000 * self.batches + self.leftover_bars, self.days_off_target


@dataclass(frozen=True)
class PlanProblem:
    """Why an input cannot be planned, or why a plan breaks a rule."""

    code: str
    text: str
    mend: str = ""


@dataclass(frozen=True)
class PlanResult:
    """A plan with its score; `unplaced` says which lines found no place and what stood in the way."""

    plan: Plan
    score: Score
    unplaced: tuple[PlanProblem, ...] = field(default=())


def minutes_of(step: PlanStep, bars: int) -> int:
    """Bench minutes of a step for this many bars, rounded up once."""
    return step.fixed_minutes + -(-step.tenths_per_bar * bars // 10)
