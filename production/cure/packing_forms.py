"""What is typed at the packing table: what lies in the parcel, what goes back, what came back, what is swapped."""

import re
from collections.abc import Iterable
from typing import Any
from uuid import uuid4

from django import forms

from production.bar_ledger import LABELS, BarState
from production.batches.forms import count_box
from production.cure.bar_counts import Held
from production.cure.order_bars import OrderBars

MOST_BARS = 100_000
COUNT_SENTENCES = {"required": "How many bars?", "invalid": "Type a whole number of bars."}
PickKey = tuple[int, int, str]


def _count_field(**more: Any) -> forms.IntegerField:
    return forms.IntegerField(
        min_value=1, max_value=MOST_BARS, widget=count_box(), error_messages=COUNT_SENTENCES, **more
    )


def stands_in(number: str, code: str) -> bool:
    """Return whether a scanned code names this batch, and not one whose number begins the same."""
    return re.search(rf"{re.escape(number)}(?!\d)", code, re.IGNORECASE) is not None


class PickForm(forms.Form):
    """One tick and one box for each row that is reserved; a code ticks the row of its batch."""

    code = forms.CharField(
        max_length=300,
        required=False,
        label="Code on the bars",
        help_text="Type or scan the batch number, or the code on the label, and its row is ticked.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters", "class": "narrow"}),
    )
    is_part = forms.BooleanField(required=False, label="Part delivery: the rest follows in another parcel")
    note = forms.CharField(max_length=200, required=False, label="Note on the slip")
    typed_once = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)

    def __init__(self, *args: Any, bars: OrderBars, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.rows = [
            PickRow(need.line.design.name, need.words, need.line.wording, need.line.packaging, lot)
            for need in bars.needs
            for lot in need.lots
            if lot.reserved
        ]
        for row in self.rows:
            self.fields[f"tick_{row.name}"] = forms.BooleanField(required=False, label=f"{row.words} is in")
            self.fields[f"bars_{row.name}"] = _count_field(required=False, label="Bars", initial=row.lot.reserved)

    def lines(self) -> list[tuple["PickRow", forms.BoundField, forms.BoundField]]:
        return [(row, self[f"tick_{row.name}"], self[f"bars_{row.name}"]) for row in self.rows]

    def ticked_by_code(self) -> tuple[dict[str, Any], str, str]:
        """Return what was typed with the row of the code ticked, which row that is, and what is wrong with the code."""
        typed = {key: value for key, value in self.data.items() if key != "code"}
        code = str(self.data.get("code", "")).strip()
        own = [row for row in self.rows if stands_in(row.lot.batch_number, code)]
        if not code:
            return typed, "", "Type or scan the code that stands on the bars."
        if not own:
            return typed, "", f"“{code[:40]}” is not on this list. Put those bars back, and look at the list again."
        row = next((row for row in own if f"tick_{row.name}" not in typed), None)
        if row is None:
            return typed, "", f"{own[0].lot.batch_number} is ticked already."
        return typed | {f"tick_{row.name}": "on"}, row.words, ""

    @property
    def picked(self) -> dict[PickKey, int]:
        found = {}
        for row in self.rows:
            if self.cleaned_data.get(f"tick_{row.name}"):
                bars = self.cleaned_data.get(f"bars_{row.name}")
                found[row.key] = row.lot.reserved if bars is None else bars
        return found


class PickRow:
    """Bars of one batch to be picked for one line and finish."""

    def __init__(self, product: str, finish: str, wording: str, packaging: str, lot: Held) -> None:
        self.product, self.finish, self.wording, self.packaging, self.lot = product, finish, wording, packaging, lot

    @property
    def key(self) -> PickKey:
        return self.lot.line_id, self.lot.batch_id, self.lot.finish

    @property
    def name(self) -> str:
        return f"{self.lot.line_id}_{self.lot.batch_id}_{self.lot.finish}"

    @property
    def words(self) -> str:
        return f"{self.lot.reserved} {self.finish} of {self.lot.batch_number}"


class OutOfTurnForm(forms.Form):
    out_of_turn = forms.CharField(max_length=150, required=False, label="Why out of turn")


class GiveBackForm(forms.Form):
    bars = _count_field()
    then = forms.ChoiceField(
        label="What becomes of them",
        choices=[
            (BarState.RELEASED.value, "Sound: back on the shelf"),
            *((state.value, LABELS[state]) for state in (BarState.HELD, BarState.SECOND, BarState.SPOILED)),
        ],
        required=False,
    )
    reason = forms.CharField(max_length=200, label="Why", error_messages={"required": "Say in a few words why."})
    typed_once = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)

    @property
    def then_state(self) -> BarState:
        return BarState(self.cleaned_data["then"] or BarState.RELEASED.value)


class LotChoiceForm(forms.Form):
    """Choose one row of an order's bars, and how many of it."""

    lot = forms.ChoiceField(label="Which bars", error_messages={"required": "Choose the bars."})
    bars = _count_field()
    reason = forms.CharField(max_length=200, label="Why", error_messages={"required": "Say in a few words why."})

    def __init__(self, *args: Any, lots: Iterable[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["lot"].choices = list(lots)  # type: ignore[attr-defined]

    @property
    def key(self) -> PickKey:
        line, batch, finish = self.cleaned_data["lot"].split("|", 2)
        return int(line), int(batch), finish


class ReturnForm(LotChoiceForm):
    typed_once = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)


class SwapForm(LotChoiceForm):
    other = forms.ChoiceField(label="Order that gets them", error_messages={"required": "Choose the order."})

    def __init__(self, *args: Any, others: Iterable[tuple[int, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["other"].choices = [(str(pk), words) for pk, words in others]  # type: ignore[attr-defined]


class HandOverForm(forms.Form):
    parcel = forms.IntegerField(required=False, min_value=1, widget=forms.HiddenInput)
    unpaid_reason = forms.CharField(max_length=150, required=False, label="Why the bars go unpaid")
