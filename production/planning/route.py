"""The process route of a design: which step happens when, how long it takes and whether a person must be there.

Days between steps are figures of the route, never of the code that plans with them. The figures below are
starting points from common practice (no published source); each workshop replaces them with its own.
"""

import math
from dataclasses import dataclass
from decimal import Decimal

POUR, CUT, RELEASE, LABEL, PACK, HAND_OVER = "pour", "cut", "release", "label", "pack", "hand_over"
MILESTONES = (POUR, RELEASE, LABEL, PACK, HAND_OVER)


class RouteError(ValueError):
    """The route cannot be planned as it stands; the message is for people."""


@dataclass(frozen=True)
class RouteStep:
    """One step, at least `least_days` and at most `most_days` calendar days after its anchor (negative = before it).

    `anchor` is "pour", "release", "hand_over" or the key of another step. `most_days` None means "until release".
    A step with `every_days` repeats from its first day to its last. A step that does not bind only warns when its
    days have passed; a step for a part falls away when the customer takes a plain bar.
    """

    key: str
    label: str
    anchor: str = POUR
    least_days: int = 0
    most_days: int | None = 0
    fixed_minutes: int = 0
    minutes_per_bar: Decimal = Decimal()
    needs_person: bool = True
    binds: bool = True
    is_for_part: bool = False
    every_days: int = 0
    note: str = ""

    def __post_init__(self) -> None:
        if self.most_days is not None and self.most_days < self.least_days:
            raise RouteError(f"“{self.label}” has fewer most days than least days. Swap the two figures.")
        if self.every_days < 0 or self.fixed_minutes < 0 or self.minutes_per_bar < 0:
            raise RouteError(f"“{self.label}” has a negative time. Enter zero or more.")
        if self.anchor == self.key and self.key not in MILESTONES:
            raise RouteError(f"“{self.label}” is counted from itself. Count it from the pour or from another step.")

    def minutes_for(self, bars: int) -> int:
        """Bench minutes for this many bars, rounded up to whole minutes once."""
        return self.fixed_minutes + math.ceil(self.minutes_per_bar * bars)


def check_route(route: tuple[RouteStep, ...]) -> None:
    """Refuse two steps of one key, an anchor that is not in the route, and steps that wait for each other."""
    steps = {step.key: step for step in route}
    if len(steps) < len(route):
        raise RouteError("Two steps of the route have the same key. Rename one of them.")
    for step in route:
        seen, anchor = {step.key}, step.anchor
        while anchor not in MILESTONES:
            if anchor in seen:
                raise RouteError(f"“{step.label}” waits for a step that waits for it. Count one of them from the pour.")
            if anchor not in steps:
                raise RouteError(
                    f"“{step.label}” is counted from “{anchor}”, which is not in the route. Add that step."
                )
            seen.add(anchor)
            anchor = steps[anchor].anchor


# Minutes: common practice, no source (one batch with three colors 60-90 min from scratch; about 1 min a bar to cut,
# bevel and stamp; 1-1.5 min a bar to band and label; 50 bars packed in 1-2 h).
PLAIN_ROUTE: tuple[RouteStep, ...] = (
    RouteStep("gather", "Check materials and parts", POUR, -7, -1, fixed_minutes=20, binds=False),
    RouteStep(POUR, "Weigh out and pour", POUR, 0, 0, fixed_minutes=75),
    RouteStep(CUT, "Unmold and cut", POUR, 1, 2, fixed_minutes=10, minutes_per_bar=Decimal("0.5")),
    RouteStep("weigh", "Weigh the marked bars", CUT, 0, None, fixed_minutes=5, every_days=7, binds=False),
    RouteStep("bevel", "Bevel and stamp", CUT, 1, 6, minutes_per_bar=Decimal("0.5")),
    RouteStep("check_alkali", "Check for alkali", CUT, 1, 5, fixed_minutes=15, binds=False),
    RouteStep(RELEASE, "Weigh, check and release", RELEASE, 0, 0, fixed_minutes=20),
    RouteStep(LABEL, "Label", LABEL, 0, 0, minutes_per_bar=Decimal("1.25")),
    RouteStep(PACK, "Pack", PACK, 0, 0, minutes_per_bar=Decimal("1.5")),
    RouteStep(HAND_OVER, "Hand over", HAND_OVER, 0, 0, fixed_minutes=10),
)
# Soap dough is worked 5 to 9 days before the pour, seals 1 to 3; seals go on within two days of the cut, while both
# are fresh (common practice, no source).
DOUGH_STEP = RouteStep("dough", "Make soap dough", POUR, -9, -5, fixed_minutes=60, is_for_part=True)
TOPPER_STEP = RouteStep("toppers", "Shape toppers", POUR, -4, -1, minutes_per_bar=Decimal(4), is_for_part=True)
SEAL_STEPS: tuple[RouteStep, ...] = (
    RouteStep("seals", "Press seals", POUR, -3, -1, minutes_per_bar=Decimal(2), is_for_part=True),
    RouteStep("attach_seals", "Attach seals", CUT, 0, 2, minutes_per_bar=Decimal(2), is_for_part=True),
)
# A scent never used before is tried on a test bar; its color settles in about three weeks (common practice, no source).
TEST_BAR_STEP = RouteStep("test_bar", "Pour a test bar of the new scent", POUR, -60, -22, fixed_minutes=40, binds=False)


def route_for(
    *, has_dough: bool = False, has_toppers: bool = False, has_seals: bool = False, is_new_scent: bool = False
) -> tuple[RouteStep, ...]:
    """Return the starting route of a design with these parts."""
    parts: list[RouteStep] = []
    parts += [TEST_BAR_STEP] if is_new_scent else []
    parts += [DOUGH_STEP] if has_dough else []
    parts += [TOPPER_STEP] if has_toppers else []
    parts += SEAL_STEPS if has_seals else ()
    return (*parts, *PLAIN_ROUTE)
