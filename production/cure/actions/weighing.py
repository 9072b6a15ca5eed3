"""Weigh marked bars. A figure that cannot be true is questioned before it is used."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal

from django.db import transaction

from production.batch_states import BatchState
from production.batches.actions.bench import locked_batch
from production.batches.models import Batch
from production.cure.actions.review import note_if_ready
from production.cure.models import CureWeighing
from production.cure.rack_plans import face_of
from production.cure.records import marked_bars, water_of
from production.cure.refusal import CureRefusal
from production.cure.weights import BarWeighing, Doubt, MarkedBar, doubts
from soapshop.audit import note_event
from soapshop.models import User
from soapshop.units import format_grams

WEIGHED_IN = (BatchState.CURING, BatchState.READY_FOR_REVIEW, BatchState.RELEASED, BatchState.HELD)
MOST_GRAMS = Decimal(20_000)
# A bar cut by hand may be this much off the mean of its loaf before we ask whose bar it is (own reckoning).
ODD_SIZE_PERCENT = Decimal(25)


@transaction.atomic
def weigh_bars(
    *, batch_id: int, weights: Mapping[str, Decimal], on: date, today: date, by: User, reason: str = ""
) -> list[CureWeighing]:
    """Write down what marked bars weigh on a day, by mark.

    A bar has one weight a day: another figure for the same day replaces it, with a reason, and the first stays in the
    trail. Figures that cannot be true are refused unless a reason confirms them; then they stay in the book, set
    aside from the forecast and the review. The same figures sent twice have one effect.
    """
    batch = locked_batch(batch_id)
    weights = {mark.strip(): grams for mark, grams in weights.items()}
    _check_asked(batch, weights, on, today)
    before = {row.bar_mark: row for row in batch.cure_weighings.filter(on=on)}
    changed = {mark: grams for mark, grams in weights.items() if mark not in before or before[mark].grams != grams}
    again = {mark: before[mark].grams for mark in changed if mark in before}
    reason = reason.strip()
    questioned = _questioned(batch, weights, on, today)
    odd = [] if questioned else _odd_sizes(batch, changed, on)
    if (again or questioned or odd) and not reason:
        raise CureRefusal(_ask(again, questioned, odd))
    doubted = {doubt.mark for doubt in questioned}
    rows = [
        _write(batch, mark, grams, on, before.get(mark), mark in doubted, reason, by) for mark, grams in changed.items()
    ]
    confirmed = [mark for mark in weights if mark in doubted and mark in before and mark not in changed]
    rows += [_set_aside(before[mark], reason) for mark in confirmed]
    if rows:
        said = ", ".join(f"bar {row.bar_mark} {format_grams(row.grams)}" for row in rows)
        because = f" ({reason})" if reason else ""
        note_event(
            by=by,
            verb="weigh_bars",
            subject=batch,
            text=f"{batch}: {said}{because}."[:400],
            before=again,
            after={row.bar_mark: row.grams for row in rows},
        )
        note_if_ready(batch, today=today, by=by)
    return rows


def _ask(again: Mapping[str, Decimal], questioned: list[Doubt], odd: list[str]) -> str:
    """Say everything that is questioned at once, so that one reason never covers what nobody saw."""
    said = [f"Bar {mark} was weighed that day already ({format_grams(grams)})." for mark, grams in again.items()]
    said += [f"{doubt.text} {doubt.mend}" for doubt in questioned] + odd
    if questioned:
        return " ".join([*said, "If the figure stands, say why in a few words: it is kept, but not reckoned with."])
    if odd:
        return " ".join([*said, "If it is, say why in a few words."])
    return " ".join([*said, "To put that right, say in a few words what was wrong."])


def _check_asked(batch: Batch, weights: Mapping[str, Decimal], on: date, today: date) -> None:
    if batch.state not in WEIGHED_IN or batch.cut_on is None:
        raise CureRefusal(f"{batch} is {batch.state.label.lower()}. Bars are weighed once they are cut and counted.")
    if not weights:
        raise CureRefusal("No weight was typed. Weigh at least one marked bar.")
    if on > today:
        raise CureRefusal("That day is still to come. Correct the day.")
    if on < batch.cut_on:
        raise CureRefusal("That day lies before the cut. Correct the day.")
    for mark, grams in weights.items():
        if not mark or len(mark) > 10:
            raise CureRefusal("Give each bar a mark of one to ten signs, such as 1 or A.")
        if not 0 < grams <= MOST_GRAMS:
            raise CureRefusal(f"Bar {mark} cannot weigh {format_grams(grams)}. Read the scale again.")


def _questioned(batch: Batch, weights: Mapping[str, Decimal], on: date, today: date) -> list[Doubt]:
    """Judge the weights of this day against each bar's own other days and the water of the batch."""
    others = batch.cure_weighings.exclude(on=on, bar_mark__in=weights)
    bars = {bar.mark: bar for bar in marked_bars(others)}
    water = water_of(batch, face_of(batch))
    found: list[Doubt] = []
    for mark, grams in weights.items():
        known = bars[mark].weighings if mark in bars else ()
        own = MarkedBar(mark, (*known, BarWeighing(on, grams)))
        questioned = doubts(
            own,
            cut_on=batch.cut_on or on,
            today=today,
            most_loss_percent=water.water_percent + water.scent_percent,
            batch=batch.number,
        )
        found += [doubt for doubt in questioned if doubt.on == on]
    return found


def _odd_sizes(batch: Batch, weights: Mapping[str, Decimal], on: date) -> list[str]:
    """Ask about a bar weighed for the first time that is far from what a fresh bar of this loaf weighed."""
    mean = batch.mean_cut_bar_grams
    if not mean:
        return []
    known = set(batch.cure_weighings.exclude(on=on).values_list("bar_mark", flat=True))
    water = water_of(batch, face_of(batch))
    least = mean * (100 - ODD_SIZE_PERCENT - water.water_percent) / 100
    most = mean * (100 + ODD_SIZE_PERCENT) / 100
    return [
        f"Bar {mark} weighs {format_grams(grams)}; a fresh bar of this batch weighed {format_grams(mean)}. "
        "Is it a bar of this batch?"
        for mark, grams in weights.items()
        if mark not in known and not least <= grams <= most
    ]


def _write(
    batch: Batch,
    mark: str,
    grams: Decimal,
    on: date,
    before: CureWeighing | None,
    is_doubted: bool,
    reason: str,
    by: User,
) -> CureWeighing:
    if before is None:
        return CureWeighing.objects.create(
            batch=batch, bar_mark=mark, on=on, grams=grams, by=by, note=reason[:200], is_set_aside=is_doubted
        )
    before_grams, before.grams, before.by, before.is_set_aside = before.grams, grams, by, is_doubted
    before.note = f"was {format_grams(before_grams)}: {reason}"[:200]
    before.save(update_fields=["grams", "by", "is_set_aside", "note"])
    return before


def _set_aside(row: CureWeighing, reason: str) -> CureWeighing:
    row.is_set_aside, row.note = True, reason[:200]
    row.save(update_fields=["is_set_aside", "note"])
    return row
