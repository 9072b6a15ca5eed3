"""The way a design is made, as steps with their days: the usual start, the check, and the days on a calendar.

The figures are starting points from common practice (no published source); each design's route is then edited.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

POUR, RELEASE, LABEL, PACK, HAND_OVER = "pour", "release", "label", "pack", "hand_over"
CUT = "cut"
# What steps may be counted from without standing in the route themselves.
MILESTONES = {
    POUR: "the pour",
    RELEASE: "the release",
    LABEL: "labeling",
    PACK: "packing",
    HAND_OVER: "the hand-over",
}


class RouteRefused(ValueError):
    """The route cannot be followed as it stands; the message says why and the mend."""


@dataclass(frozen=True)
class Step:
    """One step, from `least_days` to `most_days` after its anchor (below 0: before it).

    `anchor` is a milestone or the key of another step; `most_days` None means until the release. `every_days` above 0
    repeats it. A step that does not bind only warns; a step for a part falls away on a plain bar.
    """

    key: str
    label: str
    anchor: str = POUR
    least_days: int = 0
    most_days: int | None = 0
    every_days: int = 0
    fixed_minutes: int = 0
    minutes_per_bar: Decimal = Decimal(0)
    needs_person: bool = True
    binds: bool = True
    is_for_part: bool = False
    note: str = ""


# Minutes and days: common practice, no source (one batch of three colors 60 to 90 minutes from scratch; about a minute
# a bar to cut, bevel and stamp; 1 to 1.5 minutes a bar to band and label; 50 bars packed in 1 to 2 hours).
PLAIN_STEPS = (
    Step("gather", "Check materials and parts", POUR, -7, -1, fixed_minutes=20, binds=False),
    Step(POUR, "Weigh out and pour", POUR, 0, 0, fixed_minutes=75),
    Step(CUT, "Unmold and cut", POUR, 1, 2, fixed_minutes=10, minutes_per_bar=Decimal("0.5")),
    Step("weigh", "Weigh the marked bars", CUT, 0, None, every_days=7, fixed_minutes=5, binds=False),
    Step("bevel", "Bevel and stamp", CUT, 1, 6, minutes_per_bar=Decimal("0.5")),
    Step("check_alkali", "Check for alkali", CUT, 1, 5, fixed_minutes=15, binds=False),
    Step(RELEASE, "Weigh, check and release", RELEASE, 0, 0, fixed_minutes=20),
    Step(LABEL, "Label", LABEL, 0, 0, minutes_per_bar=Decimal("1.25")),
    Step(PACK, "Pack", PACK, 0, 0, minutes_per_bar=Decimal("1.5")),
    Step(HAND_OVER, "Hand over", HAND_OVER, 0, 0, fixed_minutes=10),
)
# A stamp goes on once a finger leaves no print but a nail does, 1 to 7 days after the cut (common practice, no source).
# Soap dough is worked 5 to 9 days before the pour, seals 1 to 3; seals go on within two days of the cut, while both
# are fresh (common practice, no source).
PART_STEPS = {
    "dough": (Step("dough", "Make soap dough", POUR, -9, -5, fixed_minutes=60, is_for_part=True),),
    "embed": (Step("embeds", "Make the embeds", POUR, -14, -1, fixed_minutes=45, is_for_part=True),),
    "topper": (Step("toppers", "Shape toppers", POUR, -4, -1, minutes_per_bar=Decimal(4), is_for_part=True),),
    "stamp": (Step("stamp", "Stamp the face", CUT, 1, 7, minutes_per_bar=Decimal(1), is_for_part=True),),
    "seal": (
        Step("seals", "Press seals", POUR, -3, -1, minutes_per_bar=Decimal(2), is_for_part=True),
        Step("attach_seals", "Attach seals", CUT, 0, 2, minutes_per_bar=Decimal(2), is_for_part=True),
    ),
}
# Work the formula wants ahead of the pour: a fiber dissolves in the lye overnight and is strained the next day, milk
# and juice are frozen first, alcohol is simmered off (common practice, no source).
FIBER, FREEZE, ALCOHOL = "fiber", "freeze", "alcohol"
AHEAD_STEPS = {
    ALCOHOL: (Step("simmer", "Simmer off the alcohol, let it cool", POUR, -3, -1, fixed_minutes=30),),
    FREEZE: (Step("freeze", "Weigh and freeze the liquid", POUR, -7, -1, fixed_minutes=10),),
    FIBER: (
        Step("lye_ahead", "Make the lye with the fiber, leave it overnight", POUR, -1, -1, fixed_minutes=20),
        Step("strain", "Strain the lye", POUR, 0, 0, fixed_minutes=5),
    ),
}
ATTACHED_LATER = ("embed", "topper")  # where they do not go in at the pour
BEVEL_KEY = "bevel"
# Public maker threads: layers cut too early lift off, the cooler end slices first.
LAYERED_NOTE = "Layered: wait a day longer. Mark the top; take spares from the end slices."


def finishing_words(*, is_beveled: bool, is_stamped: bool) -> str:
    """Say what is done to every bar of a design."""
    if is_beveled and is_stamped:
        return "Bevel and stamp"
    return "Bevel the edges" if is_beveled else "Stamp the face" if is_stamped else ""


@dataclass(frozen=True)
class RoutePart:
    """What a part asks of the way: how long before the pour its pieces must be made, and when they join the bar."""

    kind: str
    least_days: int = 1
    most_days: int | None = None
    is_bought: bool = False
    joins_cut_bars: bool = False
    window_days: int | None = None


def usual_route(
    part_kinds: Iterable[str] = (),
    *,
    parts: Iterable[RoutePart] = (),
    is_finished: bool = True,
    finishing: str = "",
    ahead: Iterable[str] = (),
) -> tuple[Step, ...]:
    """Return the steps a new design starts with. Without bevel and stamp that step is left out.

    ``finishing`` says what is done to every bar, in place of "Bevel and stamp".
    """
    wanted = set(ahead)
    before = [step for kind, steps in AHEAD_STEPS.items() if kind in wanted for step in steps]
    plain = [step for step in PLAIN_STEPS if is_finished or step.key != BEVEL_KEY]
    if finishing:
        plain = [replace(step, label=finishing) if step.key == BEVEL_KEY else step for step in plain]
    pour = next(place for place, step in enumerate(plain) if step.key == POUR)
    ordered = sorted((*plain[:pour], *before), key=lambda step: step.least_days)
    return with_part_steps((*ordered, *plain[pour:]), part_kinds, parts=parts)


def with_layer_note(steps: Sequence[Step]) -> tuple[Step, ...]:
    """Cut a layered loaf a day later, and write beside the cut what it wants."""
    return tuple(_a_day_later(step) if step.key == CUT and not step.note else step for step in steps)


def _a_day_later(cut: Step) -> Step:
    last = None if cut.most_days is None else cut.most_days + 1
    return replace(cut, note=LAYERED_NOTE, least_days=cut.least_days + 1, most_days=last)


def with_part_steps(
    steps: Sequence[Step], part_kinds: Iterable[str] = (), *, parts: Iterable[RoutePart] = ()
) -> tuple[Step, ...]:
    """Add the usual steps of these kinds of part where the route lacks them, in the order of the days.

    Known ``parts`` bring their own days: made long enough before to rest, not so early that they no longer hold.
    """
    by_kind: dict[str, list[RoutePart]] = {kind: [] for kind in part_kinds}
    for part in parts:
        by_kind.setdefault(part.kind, []).append(part)
    keys = {step.key for step in steps}
    wanted = [step for kind, own in by_kind.items() for step in part_steps(kind, own) if step.key not in keys]
    before_pour = [step for step in steps if step.anchor == POUR and step.least_days < 0]
    ahead = [*before_pour, *(step for step in wanted if step.anchor == POUR)]
    after_cut = [step for step in wanted if step.anchor != POUR]
    merged = sorted(ahead, key=lambda step: step.least_days) if wanted else before_pour
    for step in (step for step in steps if step not in before_pour):
        merged.append(step)
        if step.key == CUT:
            merged += after_cut
            after_cut = []
    return (*merged, *(replace(step, anchor=POUR, least_days=1, most_days=3) for step in after_cut))


def part_steps(kind: str, parts: Sequence[RoutePart] = ()) -> tuple[Step, ...]:
    """Return the steps of one kind of part; pieces that are bought are not made, those for cut bars are attached."""
    found = list(PART_STEPS.get(kind, ()))
    made = [part for part in parts if not part.is_bought]
    if parts and not made:
        found = [step for step in found if step.anchor != POUR]
    found = [_rested(step, made) if step.anchor == POUR and made else step for step in found]
    later = [part for part in parts if part.joins_cut_bars]
    if later and kind in ATTACHED_LATER and all(step.anchor == POUR for step in found):
        words = f"Attach {kind}s"
        found.append(Step(f"attach_{kind}s", words, CUT, 0, 2, minutes_per_bar=Decimal(2), is_for_part=True))
    windows = [part.window_days for part in later if part.window_days is not None]
    return tuple(_within(step, windows) for step in found)


def _rested(step: Step, parts: Sequence[RoutePart]) -> Step:
    """Make the pieces so long before the pour that they have rested and still hold."""
    last = min(step.most_days or 0, -max(part.least_days for part in parts))
    holds = [part.most_days for part in parts if part.most_days is not None]
    first = max(min(step.least_days, last), -min(holds, default=-step.least_days + 730))
    return replace(step, least_days=min(first, last), most_days=last)


def _within(step: Step, windows: Sequence[int]) -> Step:
    """Attach within the days in which both faces are fresh."""
    if not windows or not step.key.startswith("attach_"):
        return step
    return replace(step, least_days=min(step.least_days, min(windows)), most_days=min(windows))


def check_steps(steps: Sequence[Step]) -> None:
    """Refuse a route without a pour, two steps of one name, unknown anchors, and steps that wait for each other."""
    by_key = {step.key: step for step in steps}
    if len(by_key) < len(steps):
        raise RouteRefused("Two steps have the same name. Give one of them another name.")
    if POUR not in by_key:
        raise RouteRefused("The pour is missing from the route. Keep one step for it.")
    for step in steps:
        if step.most_days is not None and step.most_days < step.least_days:
            raise RouteRefused(f"“{step.label}” ends before it begins. Swap its two days.")
        _check_anchor(step, by_key)


def _check_anchor(step: Step, by_key: dict[str, Step]) -> None:
    seen, anchor = {step.key}, step.anchor
    if anchor == step.key and anchor not in MILESTONES:
        raise RouteRefused(f"“{step.label}” is counted from itself. Count it from the pour or from another step.")
    while anchor not in MILESTONES:
        if anchor in seen:
            raise RouteRefused(f"“{step.label}” waits for a step that waits for it. Count one of them from the pour.")
        if anchor not in by_key:
            raise RouteRefused(f"“{step.label}” is counted from “{anchor}”, which is not in the route. Add that step.")
        seen.add(anchor)
        anchor = by_key[anchor].anchor


@dataclass(frozen=True)
class StepWindow:
    """When a step falls, in days from the pour; None where it follows the release and no day can be named."""

    step: Step
    first_day: int | None
    last_day: int | None
    is_after_release: bool


def step_windows(steps: Sequence[Step], *, cure_days: int) -> tuple[StepWindow, ...]:
    """Return the days of each step, the release lying as many days after the pour as the cure lasts."""
    by_key = {step.key: step for step in steps}
    return tuple(_window(step, by_key, cure_days) for step in steps)


def _window(step: Step, by_key: dict[str, Step], cure_days: int) -> StepWindow:
    first, last, anchor = step.least_days, step.most_days, step.anchor
    while anchor not in MILESTONES:
        held = by_key[anchor]
        first += held.least_days
        last = None if last is None or held.most_days is None else last + held.most_days
        anchor = held.anchor
    if anchor == POUR:
        return StepWindow(step, first, cure_days if last is None else last, False)
    if anchor == RELEASE:
        return StepWindow(step, cure_days + first, None if last is None else cure_days + last, False)
    return StepWindow(step, None, None, True)
