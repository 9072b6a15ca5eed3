"""What the tests of a batch say about lye left in the bars, as a proposal; a person decides.

Limits: free caustic alkali of toilet soap at most 0.05 % NaOH (IS 2888:2004, Table 1; IS 13498 the same for bathing
bars). pH of soaps on sale mostly 9 to 10 (Indian J Dermatol 59(5), 2014, 442-444), from 11.5 presumed corrosive
(Regulation (EC) 1272/2008). The other steps between are common practice without a published source.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

TITRATION_CLEAR_PERCENT = Decimal("0.05")
TITRATION_REJECT_PERCENT = Decimal("0.10")
PH_LOW, PH_CLEAR, PH_HOLD, PH_STOP = Decimal("8.5"), Decimal("10.5"), Decimal("11.0"), Decimal("11.5")
SUPERFAT_FLOOR_PERCENT = Decimal(2)  # common practice, no source

TITRATION, PH, LOOKS, ZAP = "titration", "ph", "looks", "zap"


class AlkaliLevel(StrEnum):
    """What is proposed, mildest first."""

    CLEAR = "clear"
    ASK = "ask"
    HOLD = "hold"
    REJECT = "reject"
    STOP = "stop"


GRAVITY = {level: place for place, level in enumerate(AlkaliLevel)}


@dataclass(frozen=True)
class CheckMade:
    """One test as it was entered: `figure` is percent NaOH for a titration, pH for a pH test, None for the others.

    `is_normal` belongs to looks: no oozing, biting white pockets, separation, crumble or lye beads.
    """

    method: str
    on: date
    figure: Decimal | None = None
    is_normal: bool = True
    is_meter_checked: bool = True


@dataclass(frozen=True)
class Finding:
    level: AlkaliLevel
    code: str
    text: str
    mend: str


@dataclass(frozen=True)
class AlkaliDecision:
    """The gravest finding leads. `is_tested` is False when nothing but a tongue touch was entered."""

    level: AlkaliLevel
    findings: tuple[Finding, ...]
    is_tested: bool


def judge_alkali(
    checks: tuple[CheckMade, ...],
    *,
    superfat_percent: Decimal | None,
    superfat_floor_percent: Decimal = SUPERFAT_FLOOR_PERCENT,
) -> AlkaliDecision:
    """Weigh all tests of a batch; `superfat_percent` is recomputed from what was really weighed, None if unknown."""
    titration, ph, looks = (_latest(checks, method) for method in (TITRATION, PH, LOOKS))
    findings = [
        _looks_finding(looks),
        _titration_finding(titration),
        _ph_finding(ph, titration),
        _superfat_finding(superfat_percent, superfat_floor_percent, is_titrated=titration is not None),
        _ph_alone(ph, titration, looks, superfat_percent),
        _no_test(checks),
        _retests(checks),
    ]
    found = tuple(finding for finding in findings if finding)
    level = max((finding.level for finding in found), key=GRAVITY.__getitem__, default=AlkaliLevel.CLEAR)
    ranked = tuple(sorted(found, key=lambda finding: -GRAVITY[finding.level]))
    return AlkaliDecision(level, ranked, titration is not None or ph is not None)


def _latest(checks: tuple[CheckMade, ...], method: str) -> CheckMade | None:
    """The newest test of this kind; of two on one day the one entered last. A pH by an unchecked meter is no test."""
    own = [check for check in checks if check.method == method and (method != PH or check.is_meter_checked)]
    own = [check for check in own if check.figure is not None or method not in (TITRATION, PH)]
    return max(reversed(own), key=lambda check: check.on, default=None)


def _looks_finding(looks: CheckMade | None) -> Finding | None:
    if looks is None or looks.is_normal:
        return None
    text = "The bars do not look right: oozing, white pockets, separation, crumble or lye beads were noted."
    return Finding(AlkaliLevel.HOLD, "looks", text, "Hold the batch and open a deviation, whatever the figures say.")


def _titration_finding(titration: CheckMade | None) -> Finding | None:
    percent = titration.figure if titration else None
    if percent is None or percent <= TITRATION_CLEAR_PERCENT:
        return None
    text = f"Free alkali is {percent.normalize():f} % NaOH, above {TITRATION_CLEAR_PERCENT} %."
    if percent <= TITRATION_REJECT_PERCENT:
        return Finding(AlkaliLevel.HOLD, "titration_hold", text, "Hold the batch, let it cure on and test again.")
    return Finding(AlkaliLevel.REJECT, "titration_reject", text, "Reject the batch or rework it with more fat.")


def _ph_finding(ph: CheckMade | None, titration: CheckMade | None) -> Finding | None:
    """A titration on or after the day of the pH test answers a raised pH; from 11.5 nothing does."""
    figure = ph.figure if ph else None
    if ph is None or figure is None or PH_LOW <= figure <= PH_CLEAR:
        return None
    text = f"The pH is {figure.normalize():f}."
    if figure >= PH_STOP:
        mend = "Stop: wear gloves, set the bars apart and find the cause."
        return Finding(AlkaliLevel.STOP, "ph_stop", text, mend)
    if titration is not None and titration.on >= ph.on:
        return None
    if figure > PH_HOLD:
        return Finding(AlkaliLevel.HOLD, "ph_titrate", text, "Hold the batch and titrate: a pH cannot clear it.")
    if figure > PH_CLEAR:
        return Finding(AlkaliLevel.HOLD, "ph_hold", text, "Hold for 7 days and repeat, or better titrate.")
    return Finding(AlkaliLevel.ASK, "ph_low", f"{text} Soap is rarely below {PH_LOW}.", "Check the meter and repeat.")


def _superfat_finding(superfat: Decimal | None, floor: Decimal, *, is_titrated: bool) -> Finding | None:
    if superfat is None:
        text = "The superfat of what was really weighed is not known."
        return Finding(AlkaliLevel.ASK, "superfat_unknown", text, "Enter the weighings, or titrate and give a reason.")
    if superfat >= floor:
        return None
    text = f"The superfat of what was really weighed is {_figure(superfat)} %, below the floor of {_figure(floor)} %."
    if not is_titrated:
        # An oil's own spread of three percent may be more than what is left; a pH cannot show it.
        mend = "Hold the batch until a titration shows no free alkali."
        return Finding(AlkaliLevel.HOLD, "superfat_none" if superfat <= 0 else "superfat_low", text, mend)
    return Finding(AlkaliLevel.ASK, "superfat_low", text, "Release only with the owner's reason on the record.")


def _ph_alone(
    ph: CheckMade | None, titration: CheckMade | None, looks: CheckMade | None, superfat: Decimal | None
) -> Finding | None:
    """A pH supports a release; alone it is enough only with the superfat known and the looks entered as normal."""
    if ph is None or titration is not None or (looks is not None and superfat is not None):
        return None
    text = "A pH alone cannot prove that no lye is left."
    return Finding(AlkaliLevel.ASK, "ph_alone", text, "Enter the looks and the weighings too, or titrate.")


def _no_test(checks: tuple[CheckMade, ...]) -> Finding | None:
    if _latest(checks, TITRATION) or _latest(checks, PH):
        return None
    if any(check.method == PH for check in checks):
        text, mend = "The pH meter was not checked that day, so its figure does not count.", "Check it and test again."
        return Finding(AlkaliLevel.ASK, "meter_not_checked", text, mend)
    text = "No alkali test was made."
    if any(check.method == ZAP for check in checks):
        text = "A tongue touch was noted, but it is never a test: no alkali test was made."
    mend = "Titrate, or release on superfat, cure days and looks; the record will say so."
    return Finding(AlkaliLevel.ASK, "no_test", text, mend)


def _retests(checks: tuple[CheckMade, ...]) -> Finding | None:
    """Testing again until one test passes is not hidden from the person who releases."""
    own = sorted(
        (check for check in checks if check.method == TITRATION and check.figure is not None),
        key=lambda check: check.on,
    )
    if len(own) < 2 or own[0].figure is None or own[0].figure <= TITRATION_CLEAR_PERCENT:
        return None
    text = f"{len(own)} titrations were made and the first was above {TITRATION_CLEAR_PERCENT} %."
    return Finding(AlkaliLevel.CLEAR, "retests", text, "Look at all of them before releasing.")


def _figure(figure: Decimal) -> str:
    return f"{figure.quantize(Decimal('0.01')).normalize():f}"
