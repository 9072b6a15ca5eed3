"""The kinds of things that go otherwise: what each asks, when it can happen, and which action writes it down."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from production.batch_states import BatchState
from production.batches import otherwise_forms as forms
from production.batches.actions import off_ticket, slips
from production.batches.models import Batch, Deviation
from production.batches.reads import MAKING
from soapshop.models import User

Kind = Deviation.Kind
SOMETHING_ELSE = "else"
WEIGHING = (BatchState.IN_PROCESS,)
BATTER = (BatchState.IN_PROCESS, BatchState.POURED)


@dataclass(frozen=True)
class Otherwise:
    kind: Deviation.Kind
    hint: str
    states: tuple[BatchState, ...]
    form: type[forms.OtherwiseForm]
    act: Callable[[Batch, Mapping[str, Any], date, User], object]

    @property
    def key(self) -> str:
        """What names it in an address."""
        return self.kind.value or SOMETHING_ELSE

    @property
    def label(self) -> str:
        return str(self.kind.label)

    def can_happen(self, batch: Batch) -> bool:
        """Whether it can be written down now: the batch is at that point, and has what the form asks for."""
        return batch.state in self.states and self.form(batch=batch).can_be_filled()

    @property
    def names_a_tub(self) -> bool:
        return issubclass(self.form, forms.ExtraForm)


def _spilled(batch: Batch, given: Mapping[str, Any], on: date, by: User) -> object:
    return off_ticket.spill_weighed(
        weighing_id=given["line"].pk,
        grams=given["grams"],
        what_happened=given["words"],
        by=by,
        typed_once=given["typed_once"],
    )


def _extra(batch: Batch, given: Mapping[str, Any], on: date, by: User) -> object:
    return off_ticket.add_unplanned(
        batch_id=batch.pk,
        lot_code=given["lot"],
        grams=given["grams"],
        what_happened=given["words"],
        on=on,
        by=by,
        typed_once=given["typed_once"],
    )


def _other_tub(batch: Batch, given: Mapping[str, Any], on: date, by: User) -> object:
    return off_ticket.take_other_tub(
        weighing_id=given["line"].pk,
        lot_code=given["lot"],
        grams=given["grams"],
        what_happened=given["words"],
        on=on,
        by=by,
        typed_once=given["typed_once"],
    )


def _left_out(batch: Batch, given: Mapping[str, Any], on: date, by: User) -> object:
    return off_ticket.leave_out(weighing_id=given["line"].pk, what_happened=given["words"], by=by)


def _swapped(batch: Batch, given: Mapping[str, Any], on: date, by: User) -> object:
    letters = (given["first"], given["second"])
    return slips.swap_jugs(
        batch_id=batch.pk, letters=letters, words=given["words"], on=on, by=by, typed_once=given["typed_once"]
    )


def _color(batch: Batch, given: Mapping[str, Any], on: date, by: User) -> object:
    return slips.note_other_color(
        batch_id=batch.pk, letter=given["jug"], words=given["words"], on=on, by=by, typed_once=given["typed_once"]
    )


def _seized(batch: Batch, given: Mapping[str, Any], on: date, by: User) -> object:
    return slips.note_seized(batch_id=batch.pk, words=given["words"], by=by, typed_once=given["typed_once"])


def _part_broke(batch: Batch, given: Mapping[str, Any], on: date, by: User) -> object:
    return slips.note_broken_part(
        batch_id=batch.pk,
        part_lot_id=given["lot"].pk,
        pieces=given["pieces"],
        words=given["words"],
        by=by,
        typed_once=given["typed_once"],
    )


def _skipped(batch: Batch, given: Mapping[str, Any], on: date, by: User) -> object:
    step = given["step"].pk
    return slips.skip_step(batch_id=batch.pk, step_id=step, words=given["words"], by=by, typed_once=given["typed_once"])


def _else(batch: Batch, given: Mapping[str, Any], on: date, by: User) -> object:
    return slips.note_something_else(
        batch_id=batch.pk, words=given["words"], effect=given["effect"], by=by, typed_once=given["typed_once"]
    )


ALL = (
    Otherwise(Kind.SPILLED, "Of a line that is weighed; the rest counts.", WEIGHING, forms.SpilledForm, _spilled),
    Otherwise(Kind.EXTRA, "A handful more, or something nobody planned.", WEIGHING, forms.ExtraForm, _extra),
    Otherwise(Kind.OTHER_TUB, "Another material than the ticket names.", WEIGHING, forms.OtherTubForm, _other_tub),
    Otherwise(Kind.LEFT_OUT, "Forgotten, used up, or not wanted.", WEIGHING, forms.LeftOutForm, _left_out),
    Otherwise(Kind.SWAPPED, "Poured in each other’s layer or place.", BATTER, forms.SwappedForm, _swapped),
    Otherwise(Kind.COLOR, "Too weak, too strong, or another one.", MAKING, forms.ColorForm, _color),
    Otherwise(Kind.SEIZED, "Thick before it was in the mold.", BATTER, forms.SeizedForm, _seized),
    Otherwise(Kind.PART_BROKE, "Before or while it was set on a bar.", MAKING, forms.PartBrokeForm, _part_broke),
    Otherwise(Kind.SKIPPED, "Left out, or no time for it.", MAKING, forms.SkippedForm, _skipped),
    Otherwise(Kind.OTHER, "In your own words.", MAKING, forms.SomethingElseForm, _else),
)
BY_KEY = {each.key: each for each in ALL}
