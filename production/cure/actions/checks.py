"""Enter a test of the bars: titration, pH, looks, or the tongue touch that is only ever a note."""

from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from django.db import transaction

from production.batch_states import BatchState
from production.batches.actions.bench import finish_step, locked_batch, note_deviation
from production.cure.actions.review import note_if_ready
from production.cure.alkali import (
    PH_CLEAR,
    PH_LOW,
    PH_STOP,
    TITRATION_CLEAR_PERCENT,
    TITRATION_REJECT_PERCENT,
)
from production.cure.models import Check
from production.cure.refusal import CureRefusal
from production.cure.titration import TitrationError, free_alkali_percent
from soapshop.audit import note_event
from soapshop.models import User

CHECKED_IN = (BatchState.CURING, BatchState.READY_FOR_REVIEW, BatchState.RELEASED, BatchState.HELD)
TITRATION_LIMIT = f"at most {TITRATION_CLEAR_PERCENT} % NaOH (IS 2888:2004, toilet soap)"
PH_LIMIT = f"{PH_LOW} to {PH_CLEAR}, a hint only (common practice)"


@dataclass(frozen=True)
class CheckReading:
    """What was read. A titration needs all three readings, a pH its figure, looks and touch only `is_normal`."""

    method: str
    ph: Decimal | None = None
    acid_ml: Decimal | None = None
    acid_mol_per_l: Decimal | None = None
    soap_grams: Decimal | None = None
    is_normal: bool = True
    is_meter_checked: bool = True
    note: str = ""


@transaction.atomic
def enter_check(*, batch_id: int, reading: CheckReading, on: date, today: date, by: User) -> Check:
    """Write down one test with its result. Every test stays; the newest of a kind counts.

    Looks that are not normal, and a touch that bites, become a deviation that somebody must decide.
    """
    batch = locked_batch(batch_id)
    if batch.state not in CHECKED_IN:
        raise CureRefusal(f"{batch} is {batch.state.label.lower()}. Bars are tested once they are cut.")
    if on > today or (batch.cut_on is not None and on < batch.cut_on):
        raise CureRefusal("A test lies between the cut and today. Correct the day.")
    check = _judged(reading)
    check.batch, check.on, check.by, check.note = batch, on, by, reading.note.strip()[:300]
    same = batch.checks.filter(method=check.method, on=on, figure=check.figure, verdict=check.verdict, note=check.note)
    found = same.first()
    if found is not None:
        return found
    if check.verdict != Check.Verdict.CLEAR and check.method in (Check.Method.LOOKS, Check.Method.ZAP):
        if not check.note:
            raise CureRefusal("Say in a few words what is not right: where, and on how many bars.")
        note_deviation(batch=batch, by=by, what=f"{check.get_method_display()}: {check.note}")
    check.save()
    figure = "" if check.figure is None else f" {check.figure.normalize():f}"
    text = f"{batch}: {check.get_method_display()}{figure}, {check.get_verdict_display().lower()}."
    note_event(by=by, verb="enter_check", subject=batch, text=text)
    if check.method in (Check.Method.TITRATION, Check.Method.PH):
        finish_step(batch, "check_alkali", on=on, by=by)
    note_if_ready(batch, today=today, by=by)
    return check


def _judged(reading: CheckReading) -> Check:
    if reading.method == Check.Method.TITRATION:
        return _titration(reading)
    if reading.method == Check.Method.PH:
        return _ph(reading)
    if reading.method not in (Check.Method.LOOKS, Check.Method.ZAP):
        raise CureRefusal("Choose which test was made.")
    verdict = Check.Verdict.CLEAR if reading.is_normal else Check.Verdict.FAILED
    return Check(method=reading.method, verdict=verdict)


def _titration(reading: CheckReading) -> Check:
    if reading.acid_ml is None or reading.acid_mol_per_l is None or reading.soap_grams is None:
        raise CureRefusal("A titration needs the acid used in mL, its strength in mol/L, and the grams of soap.")
    try:
        percent = free_alkali_percent(
            acid_ml=reading.acid_ml, acid_mol_per_l=reading.acid_mol_per_l, soap_grams=reading.soap_grams
        )
    except TitrationError as refusal:
        raise CureRefusal(str(refusal)) from refusal
    percent = percent.quantize(Decimal("0.0001"), ROUND_HALF_UP)
    verdict = Check.Verdict.FAILED
    if percent <= TITRATION_REJECT_PERCENT:
        verdict = Check.Verdict.CLEAR if percent <= TITRATION_CLEAR_PERCENT else Check.Verdict.AGAIN
    return Check(
        method=Check.Method.TITRATION,
        figure=percent,
        verdict=verdict,
        limit_text=TITRATION_LIMIT,
        acid_ml=reading.acid_ml,
        acid_mol_per_l=reading.acid_mol_per_l,
        soap_grams=reading.soap_grams,
    )


def _ph(reading: CheckReading) -> Check:
    if reading.ph is None or not 0 <= reading.ph <= 14:
        raise CureRefusal("A pH lies between 0 and 14. Read the meter again.")
    figure = reading.ph.quantize(Decimal("0.01"), ROUND_HALF_UP)
    verdict = Check.Verdict.CLEAR if PH_LOW <= figure <= PH_CLEAR else Check.Verdict.AGAIN
    if figure >= PH_STOP:
        verdict = Check.Verdict.FAILED
    if not reading.is_meter_checked:
        verdict = Check.Verdict.AGAIN
    return Check(
        method=Check.Method.PH,
        figure=figure,
        verdict=verdict,
        limit_text=PH_LIMIT,
        is_meter_checked=reading.is_meter_checked,
    )
