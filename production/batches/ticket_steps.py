"""What is done at the pot, step by step, as the ticket prints it: work ahead with its days, the pour, the finishes."""

from collections.abc import Iterable
from datetime import date

from production.batches.cautions import Caution
from production.batches.frozen import FrozenPart, FrozenPlan, FrozenPortion
from production.batches.models import StepRecord
from production.documents.figures import day_text
from production.documents.records import ProcessStep
from production.planning.route import CUT
from soapshop.units import format_grams

Step = tuple[str, str, str, str]  # words, target, unit, and where its cautions stand
# A look round is no work of its own on the ticket: its ticks stand at the head.
LOOK_ROUND = "gather"


def ahead_steps(steps: Iterable[StepRecord], *, pour_on: date) -> str:
    """Say what was to be done before the pour, each with its day; nothing when the way begins with the pour."""
    found = [step for step in steps if step.due_on < pour_on and step.key != LOOK_ROUND]
    return "; ".join(f"{day_text(step.due_on, has_year=False)} {step.label}" for step in found)


def process_steps(
    plan: FrozenPlan, dangers: tuple[Caution, ...], *, ahead: str = "", wordings: tuple[tuple[str, str], ...] = ()
) -> Iterable[ProcessStep]:
    """Yield the numbered steps of the pour with the cautions that belong to each.

    ``wordings`` are words that customers chose, each with its order; what is stamped is stamped from them.
    """
    at: dict[str, tuple[str, ...]] = {}
    for caution in dangers:
        at[caution.step] = (*at.get(caution.step, ()), caution.text)
    steps = (*_before(plan, ahead), *_at_the_pot(plan), *_after(plan, wordings))
    for number, (text, target, unit, key) in enumerate(steps, start=1):
        yield ProcessStep(number=number, text=text, target=target, unit=unit, cautions=at.get(key, ()))


def _before(plan: FrozenPlan, ahead: str) -> Iterable[Step]:
    if ahead:
        yield (f"Done ahead? {ahead}.", "", "", "")
    if plan.process_note.strip():
        yield (" ".join(plan.process_note.split()), "", "", "")


def _at_the_pot(plan: FrozenPlan) -> Iterable[Step]:
    letters = sorted({portion.letter for portion in plan.portions})
    held_back = sorted({(jug.letter, held) for jug in plan.portions if (held := _held_back(jug))})
    yield ("Stir the lye into the cold liquid, a little at a time, until clear.", "clear", "°C", "lye")
    yield ("Melt the hard fats, add the oils, let them cool.", "32 to 45 °C", "°C", "oils")
    if held_back:
        yield (f"Set aside: {'; '.join(held for _, held in held_back)}.", "", "g", "")
    yield ("Stop: compare the pot with its running total. Read the ticket once more.", "", "g", "check")
    yield ("Pour the lye through a sieve into the oils; blend in short bursts.", "emulsion", "min", "blend")
    yield ("Stir in what comes at trace, scent last.", "", "", "trace")
    if len(letters) > 1:
        yield (f"Divide into jugs {letters[0]} to {letters[-1]} by weight and color them.", "", "", "jugs")


def _after(plan: FrozenPlan, wordings: tuple[tuple[str, str], ...]) -> Iterable[Step]:
    pieces = [part for part in plan.parts if not part.is_work]
    pressed = "; ".join(f"{part.name}, {part.pieces} pieces" for part in pieces if part.attached_at == "pour")
    attached = " ".join(_attaching(part) for part in pieces if part.attached_at != "pour")
    yield ("Pour in the order of the jugs; tap the mold.", "", "min", "pour")
    if pressed:
        yield (f"Set in {pressed}.", "", "", "")
    yield ("Cover; let it gel." if plan.gels else "Cover; keep it cool, no gel.", "", "h", "parts")
    yield (" ".join(("Unmold and cut.", _bars_by_finish(plan), *_cut_note(plan))), f"{plan.bars} bars", "bars", "cut")
    done = (_finishing(plan), _stamping(plan), _stamped_words(plan, wordings))
    work = " ".join(words for words in done if words)
    yield from ((words, "", "", "") for words in (work, attached) if words)


def _held_back(jug: FrozenPortion) -> str:
    if not jug.held_back_grams:
        return ""
    return f"{format_grams(jug.held_back_grams)} of {jug.carrier_oil} for jug {jug.letter}"


def _cut_note(plan: FrozenPlan) -> list[str]:
    """What the design's way says beside the cut, such as that layers want a day longer."""
    return [step.note for step in plan.route if step.key == CUT and step.note]


def _bars_by_finish(plan: FrozenPlan) -> str:
    """Say how many bars, and of which finish where there is more than one."""
    finishes = [finish for finish in plan.finishes if finish.bars]
    by_finish = ", ".join(f"{finish.bars} {finish.label}" for finish in finishes)
    return f"{plan.bars} bars planned: {by_finish}." if len(finishes) > 1 else f"{plan.bars} bars planned."


def _finishing(plan: FrozenPlan) -> str:
    work = [*(["bevel the edges"] if plan.is_beveled else []), *(["stamp the face"] if plan.is_stamped else [])]
    return f"{' and '.join(work).capitalize()} of every bar once firm." if work else ""


def _stamping(plan: FrozenPlan) -> str:
    """A finger leaves no print but a nail does: then a stamp neither sticks nor cracks (common practice)."""
    found = [f"{part.name} on {part.pieces} bars" for part in plan.parts if part.is_work]
    return f"Stamp once a nail leaves a mark and a finger none: {', '.join(found)}." if found else ""


def _stamped_words(plan: FrozenPlan, wordings: tuple[tuple[str, str], ...]) -> str:
    """Return the customers' own words for the stamp; on bars without one they stand on the label alone."""
    if not wordings or not (plan.is_stamped or any(part.is_work for part in plan.parts)):
        return ""
    words = "; ".join(f"“{wording}” for order {order}" for order, wording in wordings)
    return f"Set the stamp letter by letter: {words}."


def _attaching(part: FrozenPart) -> str:
    """Say how a part goes on: soap paste holds it, and while both faces are fresh after the cut."""
    window = part.attach_window_days
    when = "On the cured bars" if part.attached_at == "cured" else "After the cut"
    if part.attached_at == "cut" and window is not None:
        when = "On the day of the cut" if window == 0 else f"Within {window} day{'s' * (window != 1)} of the cut"
    removed = "" if part.counts_as_contents else " It comes off before use and is not weighed with the bar."
    return f"{when}: attach {part.name} to the bars with soap paste, {part.pieces} pieces.{removed}"
