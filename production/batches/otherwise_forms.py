"""What went otherwise at the bench: a few taps for each kind. Lists offer only what this batch has."""

from typing import Any

from django import forms

from orders.forms.boxes import OnceField
from production.batches.forms import GramsField
from production.batches.models import Batch, StepRecord, Weighing
from production.batches.records import plan_of
from production.stock.models import PartLot
from soapshop.units import format_grams

WORDS_WANTED = {"required": "Say in a few words what happened."}
CHOOSE = {"required": "Choose one.", "invalid_choice": "Choose one from the list."}


def words_field(*, required: bool, label: str = "What happened?", help_text: str = "") -> forms.CharField:
    return forms.CharField(
        max_length=300, required=required, label=label, help_text=help_text, error_messages=WORDS_WANTED
    )


class LineField(forms.ModelChoiceField):
    """A line of the weigh-out."""

    def label_from_instance(self, obj: Weighing) -> str:
        grams = obj.planned_grams if obj.actual_grams is None else obj.actual_grams
        jug = f", jug {obj.portion_letter}" if obj.portion_letter else ""
        return f"{obj.material.name}{jug}: {format_grams(grams)}"


class OtherwiseForm(forms.Form):
    """Any of them: which batch it is about, and the number that makes a second tap harmless."""

    typed_once = OnceField()

    def __init__(self, *args: Any, batch: Batch, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.batch = batch
        self.set_lists()

    def set_lists(self) -> None:
        """Fill the lists of the form from the batch."""

    def can_be_filled(self) -> bool:
        """Whether every list has something to choose."""
        lists = (field for field in self.fields.values() if isinstance(field, forms.ChoiceField))
        return all(len(field.widget.choices) for field in lists)

    def _lines(self) -> Any:
        return Weighing.objects.filter(batch=self.batch).select_related("material")

    def _jugs(self) -> list[tuple[str, str]]:
        jugs = {portion.letter: portion.name for portion in plan_of(self.batch).portions}
        return [(letter, f"{letter}: {name}") for letter, name in sorted(jugs.items())]


class SpilledForm(OtherwiseForm):
    line = LineField(Weighing.objects.none(), label="Of what", empty_label=None, error_messages=CHOOSE)
    grams = GramsField(label="Spilled", error_messages={"required": "How much was spilled? Weigh or guess high."})
    words = words_field(required=True)
    field_order = ("line", "grams", "words")

    def set_lists(self) -> None:
        self.fields["line"].queryset = self._lines().filter(actual_grams__gt=0)  # type: ignore[attr-defined]


class ExtraForm(OtherwiseForm):
    lot = forms.CharField(max_length=40, label="Lot on the tub", error_messages={"required": "Which lot is it from?"})
    grams = GramsField(label="Went in", error_messages={"required": "How much went in?"})
    words = words_field(required=True)
    field_order: tuple[str, ...] = ("lot", "grams", "words")

    def set_lists(self) -> None:
        self.fields["lot"].widget.attrs.update({"list": "lots", "autocomplete": "off", "class": "narrow"})


class OtherTubForm(ExtraForm):
    line = LineField(Weighing.objects.none(), label="Instead of", empty_label=None, error_messages=CHOOSE)
    words = words_field(required=False)
    field_order = ("line", "lot", "grams", "words")

    def set_lists(self) -> None:
        super().set_lists()
        self.fields["line"].queryset = self._lines().filter(actual_grams__isnull=True)  # type: ignore[attr-defined]


class LeftOutForm(OtherwiseForm):
    line = LineField(Weighing.objects.none(), label="What did not go in", empty_label=None, error_messages=CHOOSE)
    words = words_field(required=True, label="Why?")
    field_order = ("line", "words")

    def set_lists(self) -> None:
        self.fields["line"].queryset = self._lines().filter(actual_grams__isnull=True)  # type: ignore[attr-defined]


class SwappedForm(OtherwiseForm):
    first = forms.ChoiceField(label="This jug", error_messages=CHOOSE)
    second = forms.ChoiceField(label="and that one", error_messages=CHOOSE)
    words = words_field(required=False)
    field_order = ("first", "second", "words")

    def can_be_filled(self) -> bool:
        return len(self._jugs()) > 1

    def set_lists(self) -> None:
        jugs = self._jugs()
        for place, name in enumerate(("first", "second")):
            self.fields[name].choices = jugs  # type: ignore[attr-defined]
            self.fields[name].initial = jugs[min(place, len(jugs) - 1)][0] if jugs else ""


class ColorForm(OtherwiseForm):
    jug = forms.ChoiceField(label="Which jug", error_messages=CHOOSE)
    words = words_field(required=True, label="What color is it now?", help_text="Such as gray instead of black.")
    field_order = ("jug", "words")

    def set_lists(self) -> None:
        self.fields["jug"].choices = self._jugs()  # type: ignore[attr-defined]


class SeizedForm(OtherwiseForm):
    words = words_field(required=False, help_text="Such as stirred by hand and spooned in.")
    field_order = ("words",)


class PartBrokeForm(OtherwiseForm):
    lot = forms.ModelChoiceField(
        PartLot.objects.none(), label="From which lot", empty_label=None, error_messages=CHOOSE
    )
    pieces = forms.IntegerField(
        label="Pieces that broke",
        initial=1,
        min_value=1,
        max_value=10_000,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "data-unit": "pieces", "class": "narrow"}),
        error_messages={"required": "How many broke?", "invalid": "Type a whole number of pieces."},
    )
    words = words_field(required=False)
    field_order = ("lot", "pieces", "words")

    def set_lists(self) -> None:
        parts = [part.part_id for part in plan_of(self.batch).parts]
        lots = PartLot.objects.filter(part_id__in=parts, pieces_left__gt=0).select_related("part").order_by("pk")
        self.fields["lot"].queryset = lots  # type: ignore[attr-defined]


class SkippedForm(OtherwiseForm):
    step = forms.ModelChoiceField(
        StepRecord.objects.none(), label="Which step", empty_label=None, error_messages=CHOOSE
    )
    words = words_field(required=True, label="Why?")
    field_order = ("step", "words")

    def set_lists(self) -> None:
        steps = StepRecord.objects.filter(batch=self.batch, done_on__isnull=True)
        self.fields["step"].queryset = steps  # type: ignore[attr-defined]


class SomethingElseForm(OtherwiseForm):
    words = words_field(required=True)
    effect = forms.CharField(
        max_length=300, label="What may it do to the bars?", error_messages={"required": "Say what it may do."}
    )
    field_order = ("words", "effect")
