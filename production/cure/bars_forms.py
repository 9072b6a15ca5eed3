"""What is typed about single bars: taken out, judged sound again, let go as seconds, given another finish."""

from typing import Any
from uuid import uuid4

from django import forms

from formulas.finishes import finish_key
from production.bar_ledger import LABELS, PLAIN, BarState
from production.batches.forms import count_box
from production.cure.actions.bars import SET_ASIDE
from production.stock.models import PartLot


class PlaceForm(forms.Form):
    """Which bars, by finish and place, and how many of them."""

    which = forms.ChoiceField(label="Which bars", error_messages={"required": "Choose the bars."})
    bars = forms.IntegerField(
        min_value=1,
        max_value=100_000,
        widget=count_box(),
        error_messages={"required": "How many bars?", "invalid": "Type a whole number of bars."},
    )
    typed_once = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)

    def __init__(self, *args: Any, places: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["which"].choices = places  # type: ignore[attr-defined]

    @property
    def place(self) -> tuple[str, BarState]:
        state, finish = self.cleaned_data["which"].split("|", 1)
        return finish, BarState(state)


class BarsForm(PlaceForm):
    to_state = forms.ChoiceField(
        label="What becomes of them", choices=[(state.value, LABELS[state]) for state in SET_ASIDE]
    )
    note = forms.CharField(max_length=200, label="Why", error_messages={"required": "Say in a few words why."})
    field_order = ("which", "bars", "to_state", "note", "typed_once")


class PutBackForm(PlaceForm):
    words = forms.CharField(
        max_length=200,
        label="Why they are sound, in a sentence",
        error_messages={"required": "Say in a sentence why these bars are sound."},
    )


class LetGoForm(PlaceForm):
    to_whom = forms.CharField(
        max_length=200,
        label="To whom, or where",
        help_text="So that they are found again if something turns up.",
        error_messages={"required": "Say to whom they go, or where they are sold."},
    )


class FinishForm(PlaceForm):
    """A part goes on, from a lot of the shelf, or comes off; a stamp needs no lot."""

    lot = forms.ChoiceField(label="Set on", required=False)
    off = forms.ChoiceField(label="Take off", required=False)
    reason = forms.CharField(max_length=200, label="Why, if a part comes off", required=False)

    def __init__(
        self,
        *args: Any,
        lots: tuple[PartLot, ...],
        parts_on: tuple[tuple[str, str], ...],
        stamps: tuple[tuple[str, str], ...] = (),
        **kw: Any,
    ) -> None:
        super().__init__(*args, **kw)
        self.lots = {str(lot.pk): lot for lot in lots}
        self.stamps = {f"stamp {key}": key for key, _ in stamps}
        on = [(pk, _lot_words(lot)) for pk, lot in self.lots.items()]
        on += [(f"stamp {key}", name) for key, name in stamps]
        self.fields["lot"].choices = [("", "nothing"), *on]  # type: ignore[attr-defined]
        self.fields["off"].choices = [("", "nothing"), *parts_on]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        if not given.get("lot") and not given.get("off") and not self.errors:
            self.add_error("lot", "Choose what goes on, or what comes off.")
        return given

    @property
    def part_lots(self) -> dict[str, int]:
        lot = self.lots.get(self.cleaned_data["lot"])
        return {} if lot is None else {lot.part.key: lot.pk}

    @property
    def to_finish(self) -> str:
        finish, _ = self.place
        keys = set() if finish == PLAIN else set(finish.split("+"))
        stamp = self.stamps.get(self.cleaned_data["lot"])
        gets = keys | set(self.part_lots) | ({stamp} if stamp else set())
        return finish_key(tuple(gets - {self.cleaned_data["off"]}))


def _lot_words(lot: PartLot) -> str:
    held = ", on hold" if lot.is_held else ""
    use_by = f", use by {lot.use_by:%b} {lot.use_by.day}, {lot.use_by.year}" if lot.use_by else ""
    return f"{lot.part.name}, {lot.code} ({lot.pieces_left}{use_by}{held})"
