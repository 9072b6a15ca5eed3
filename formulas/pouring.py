"""Will this design go to plan at the bench: time against the scent, white against vanilla, toppers against heat."""

from dataclasses import dataclass
from decimal import Decimal

from formulas.chemistry.results import Finding

# Minutes a batch stays pourable, by lye concentration: slow mixes at 30 to 33 % lye keep 5 to 20; stronger lye is
# used for one color only. Common practice, no source; the stronger row is our own choice.
STRONG_LYE_PERCENT = Decimal(36)
SLOW_MINUTES, STRONG_MINUTES, SPED_UP_MINUTES = (5, 20), (3, 10), (0, 3)
MINUTES_PER_JUG = (1, 2)  # common practice, no source
# Vanillin in a scent: above 1 % tan, from 10 % dark brown, seen after 2 to 3 weeks (public maker threads).
FRESH_EMBED_DAYS = 14  # embeds hold best at under two weeks old: common practice, no source
TAN_VANILLIN_PERCENT, BROWN_VANILLIN_PERCENT = Decimal(1), Decimal(10)
AGREE = "Leave that jug unscented, or agree the color with the customer."
LIGHT_FROM = 200  # of 255, weighed as the eye sees red, green and blue (ITU-R BT.601): own choice of the limit


def is_light(color_hex: str) -> bool:
    """Whether a jug's color is so light that a tan shows; a color that cannot be read counts as light."""
    try:
        red, green, blue = (int(color_hex[place : place + 2], 16) for place in (1, 3, 5))
    except ValueError:
        return True
    return 299 * red + 587 * green + 114 * blue >= 1000 * LIGHT_FROM


@dataclass(frozen=True)
class ScentFacts:
    """What is known of a scent; vanillin None means the supplier is silent."""

    name: str
    speeds_trace: bool = False
    vanillin_percent: Decimal | None = None
    is_tested: bool = True
    seen: str = ""  # how it changed the color of soap here, by week


@dataclass(frozen=True)
class PouredJug:
    letter: str
    scented: bool = True
    is_light: bool = False


@dataclass(frozen=True)
class PouredPart:
    """A part that is already in or on the soap when it warms up."""

    name: str
    forbids_heat: bool
    is_on_at_the_pour: bool
    is_embedded: bool = False
    is_of_another_formula: bool = False
    oldest_days: int = 0  # how old the pieces may be when they are pressed in


@dataclass(frozen=True)
class PourTime:
    """Minutes the jugs take, and minutes the batter stays pourable; both from least to most."""

    needed_least: int
    needed_most: int
    open_least: int
    open_most: int

    @property
    def is_hopeless(self) -> bool:
        return self.needed_least > self.open_most

    @property
    def is_tight(self) -> bool:
        return self.needed_most > self.open_least


def pour_time(jugs: int, *, lye_concentration_percent: Decimal, speeds_trace: bool) -> PourTime:
    least, most = MINUTES_PER_JUG
    is_strong = lye_concentration_percent > STRONG_LYE_PERCENT
    open_least, open_most = SPED_UP_MINUTES if speeds_trace else STRONG_MINUTES if is_strong else SLOW_MINUTES
    return PourTime(jugs * least, jugs * most, open_least, open_most)


def pour_findings(
    jugs: tuple[PouredJug, ...],
    *,
    lye_concentration_percent: Decimal,
    scent: ScentFacts | None = None,
    others: tuple[ScentFacts, ...] = (),
    parts: tuple[PouredPart, ...] = (),
    is_heated: bool = False,
) -> tuple[Finding, ...]:
    """Return what a maker should settle before the pour; heated means gel or oven.

    ``scent`` sets the pace; what the ``others`` do to light soap is said too.
    """
    return (
        *_time(jugs, lye_concentration_percent, scent),
        *(finding for each in ((scent, *others) if scent else others) for finding in _browning(jugs, each)),
        *(_untested(scent) if scent else ()),
        *(_heat(part) for part in parts if is_heated and part.forbids_heat and part.is_on_at_the_pour),
        *(finding for part in parts if part.is_embedded for finding in _shrinking(part)),
    )


def _time(jugs: tuple[PouredJug, ...], lye_percent: Decimal, scent: ScentFacts | None) -> tuple[Finding, ...]:
    speeds = scent is not None and scent.speeds_trace and any(jug.scented for jug in jugs)
    time = pour_time(len(jugs), lye_concentration_percent=lye_percent, speeds_trace=speeds)
    if not time.is_tight:
        return ()
    why = f"{scent.name} speeds up trace: " if speeds and scent else ""
    text = (
        f"{why}{_jugs_want(len(jugs))} {time.needed_least} to {time.needed_most} minutes of pouring, "
        f"but the batter stays pourable for {time.open_least} to {time.open_most}."
    )
    mend = "Plan fewer jugs, weaker lye, or scent only the last jug, and write the simpler design on the ticket."
    return (Finding("ask" if time.is_hopeless else "note", "pour_time", text, mend),)


def _browning(jugs: tuple[PouredJug, ...], scent: ScentFacts) -> tuple[Finding, ...]:
    light = [jug.letter for jug in jugs if jug.scented and jug.is_light]
    if not light:
        return ()
    if scent.seen:
        text = f"{scent.name} changed light soap here ({scent.seen.rstrip('.')}): jug {', '.join(light)}."
        return (Finding("ask", "scent_browns", text, AGREE),)
    if scent.vanillin_percent is None or scent.vanillin_percent <= TAN_VANILLIN_PERCENT:
        return ()
    shade = "dark brown" if scent.vanillin_percent >= BROWN_VANILLIN_PERCENT else "tan"
    text = f"{scent.name} turns light batter {shade} within two to three weeks: jug {', '.join(light)}."
    return (Finding("ask", "scent_browns", text, AGREE),)


def _untested(scent: ScentFacts) -> tuple[Finding, ...]:
    if scent.is_tested:
        return ()
    text = f"{scent.name} was never poured here."
    return (
        Finding("ask", "scent_untested", text, "Pour a test bar at least three weeks before, to see speed and color."),
    )


def _heat(part: PouredPart) -> Finding:
    text = f"{part.name} is on the soap while it gels, and heat melts it."
    return Finding("stop", "part_meets_heat", text, "Keep the mold cool, or put the part on after the cut.")


def _shrinking(part: PouredPart) -> tuple[Finding, ...]:
    """Fresh soap shrinks round a piece that has shrunk already."""
    found = []
    if part.is_of_another_formula:
        text = f"{part.name} is made from another formula than the bar, so the two shrink apart."
        found.append(
            Finding("note", "part_of_another_formula", text, "The bar's own formula holds best; try it first.")
        )
    if part.oldest_days > FRESH_EMBED_DAYS:
        text = f"{part.name} may be {part.oldest_days} days old: fresh soap shrinks round it and leaves a gap."
        mend = f"Press it in at under {FRESH_EMBED_DAYS} days, or wet and roughen it."
        found.append(Finding("note", "old_embed", text, mend))
    return tuple(found)


def _jugs_want(count: int) -> str:
    return "1 jug wants" if count == 1 else f"{count} jugs want"
