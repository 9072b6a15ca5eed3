"""What a person chooses before labels are printed."""

import uuid
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms

from production.documents.label_records import LabelLayout
from production.documents.label_sheet import MOST_LABELS, MOST_OFFSET_MM
from production.labels.actions import LONGEST_REASON
from production.labels.choices import LAYOUT_NAMES, Accent, CodeToScan, Elsewhere, LabelAsk, MakerRole
from production.labels.desk import Desk
from production.labels.net_weight_text import LONGEST_TEXT
from soapshop.models import Workshop

NUMBER = "Type a whole number, such as 12."
MILLIMETERS = "Type millimeters, such as 0.5 or −1."
MOST_LABELS_A_PAGE = 200


def _box(unit: str) -> forms.TextInput:
    return forms.TextInput(attrs={"inputmode": "decimal", "class": "narrow", "autocomplete": "off", "data-unit": unit})


def whole_number(label: str, unit: str, *, least: int, most: int, **options: Any) -> forms.IntegerField:
    said = {
        "invalid": NUMBER,
        "required": NUMBER,
        "min_value": f"At least {least}, please.",
        "max_value": f"At most {most:,} at a time.",
    }
    return forms.IntegerField(
        label=label, min_value=least, max_value=most, widget=_box(unit), error_messages=said, **options
    )


def _length(label: str, *, least: Decimal, most: Decimal, required: bool, **options: Any) -> forms.DecimalField:
    said = {
        "invalid": MILLIMETERS,
        "required": MILLIMETERS,
        "min_value": f"At least {least} mm, please.",
        "max_value": f"At most {most} mm, please.",
        "max_decimal_places": "Two decimals are finer than any printer.",
    }
    return forms.DecimalField(
        label=label,
        min_value=least,
        max_value=most,
        decimal_places=2,
        max_digits=7,
        required=required,
        widget=_box("mm"),
        error_messages=said,
        **options,
    )


class MarketForm(forms.Form):
    """For whom the list is worked out. What is not a choice falls back to the workshop's own."""

    market = forms.ChoiceField(choices=Workshop.Market.choices, label="Market")
    style = forms.ChoiceField(choices=Workshop.DeclarationStyle.choices, label="Style of the list")


class LabelForm(MarketForm):
    typed_once = forms.UUIDField(widget=forms.HiddenInput, required=False)
    stock = forms.ChoiceField(label="Label stock")
    printer = forms.TypedChoiceField(
        label="Printer",
        required=False,
        coerce=int,
        empty_value=None,
        error_messages={"invalid_choice": "That printer is not there. Choose one of the list."},
    )
    accent = forms.ChoiceField(
        label="Color along the edge", required=False, choices=[(color.value, color.label) for color in Accent]
    )
    layout = forms.ChoiceField(
        label="First on the label",
        required=False,
        choices=[(layout.value, name) for layout, name in LAYOUT_NAMES.items()],
    )
    has_logo = forms.BooleanField(label="Our logo", required=False)
    has_room_words = forms.BooleanField(label="Print what the settings say of the shared room", required=False)
    has_cut_marks = forms.BooleanField(label="Marks to cut by", required=False)
    copies = whole_number("Labels", "labels", least=1, most=MOST_LABELS)
    spares = whole_number("Spares", "labels", least=0, most=100)
    start_position = whole_number(
        "Start at label", "", least=1, most=MOST_LABELS_A_PAGE, help_text="1 is the first label of a full sheet."
    )
    net_weight = forms.CharField(
        label="Net weight, if smaller",
        required=False,
        max_length=LONGEST_TEXT,
        error_messages={"max_length": "Write the net weight like “4 oz” or “Net Wt 4 oz (113 g)”."},
        help_text="Empty prints the figure that holds. A smaller one may be typed, such as 4 oz.",
    )
    hand_over = forms.DateField(
        label="Weight has to hold until",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "Give a day, such as 2026-07-20."},
    )
    wording = forms.ChoiceField(label="Customer's wording", required=False)
    has_list = forms.BooleanField(label="Print the ingredient list on this label", required=False)
    elsewhere = forms.ChoiceField(
        label="What this label leaves off stands",
        required=False,
        choices=[(place.value, place.label) for place in Elsewhere],
        help_text="Without the list, or with the customer's wording alone, every bar carries the rest somewhere else.",
    )
    role = forms.ChoiceField(
        label="Words before the maker's name", required=False, choices=[(role.value, role.label) for role in MakerRole]
    )
    code = forms.ChoiceField(
        label="Code to scan", required=False, choices=[(code.value, code.label) for code in CodeToScan]
    )
    offset_x_mm = _length("Printer shift to the right", least=-MOST_OFFSET_MM, most=MOST_OFFSET_MM, required=True)
    offset_y_mm = _length("Printer shift down", least=-MOST_OFFSET_MM, most=MOST_OFFSET_MM, required=True)
    panel_width_mm = _length("Width of the bar's face", least=Decimal(5), most=Decimal(500), required=False)
    panel_height_mm = _length("Height of the bar's face", least=Decimal(5), most=Decimal(500), required=False)
    reason = forms.CharField(
        label="Who decided, and why it is printed",
        required=False,
        max_length=LONGEST_REASON,
        error_messages={"max_length": f"Keep the reason to {LONGEST_REASON} letters."},
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, *args: Any, wordings: list[str], desk: Desk, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.stocks = desk.stocks
        choices: dict[str, list[Any]] = {
            "stock": [(stock.code, stock.name) for stock in desk.stocks.values()],
            "wording": [("", "None"), *((words, words) for words in wordings)],
            "printer": [("", "Not measured"), *desk.printers],
        }
        for name, offered in choices.items():
            self.fields[name].choices = offered  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        width, height = cleaned.get("panel_width_mm"), cleaned.get("panel_height_mm")
        if (width is None) != (height is None) and not {"panel_width_mm", "panel_height_mm"} & set(self.errors):
            self.add_error("panel_height_mm", "Give both sides of the face, or leave both empty.")
        copies, spares = cleaned.get("copies"), cleaned.get("spares")
        if copies and spares and copies + spares > MOST_LABELS:
            self.add_error("copies", f"With its spares this is more than {MOST_LABELS} labels. Print them in two runs.")
        if (
            cleaned.get("layout") == LabelLayout.WORDS
            and not cleaned.get("elsewhere")
            and "elsewhere" not in self.errors
        ):
            self.add_error("elsewhere", "Choose where net weight, maker and list stand: no bar goes out without them.")
        stock = self.stocks.get(cleaned.get("stock", ""))
        start = cleaned.get("start_position")
        if stock and start and start > stock.labels_per_page:
            self.add_error("start_position", f"This sheet has labels 1 to {stock.labels_per_page}.")
        return cleaned

    def ask(self, finish: str) -> LabelAsk:
        """Return the printing as it was asked for; the form must be valid."""
        typed = self.cleaned_data
        return LabelAsk(
            finish=finish,
            market=typed["market"],
            style=typed["style"],
            stock=typed["stock"],
            copies=typed["copies"] + typed["spares"],
            start_position=typed["start_position"],
            offset_x_mm=typed["offset_x_mm"],
            offset_y_mm=typed["offset_y_mm"],
            net_weight=typed["net_weight"],
            hand_over=typed["hand_over"],
            wording=typed["wording"],
            has_list=typed["has_list"],
            elsewhere=Elsewhere(typed["elsewhere"]),
            role=MakerRole(typed["role"]),
            code=CodeToScan(typed["code"]),
            panel_width_mm=typed["panel_width_mm"],
            panel_height_mm=typed["panel_height_mm"],
            printer_id=typed["printer"],
            accent=typed["accent"],
            has_cut_marks=typed["has_cut_marks"],
            layout=LabelLayout(typed["layout"] or LabelLayout.LABEL),
            has_logo=typed["has_logo"],
            has_room_words=typed["has_room_words"],
        )


def first_choices(
    ask: LabelAsk, *, spares: int, offsets: tuple[Decimal, Decimal], hand_over: date, wordings: list[str], reason: str
) -> dict[str, Any]:
    """What stands in the form before a person types."""
    return {
        "typed_once": uuid.uuid4(),
        "market": ask.market,
        "style": ask.style,
        "stock": ask.stock,
        "copies": ask.copies,
        "spares": spares,
        "start_position": 1,
        "hand_over": hand_over,
        "wording": wordings[0] if len(wordings) == 1 else "",
        "has_list": True,
        "offset_x_mm": offsets[0],
        "offset_y_mm": offsets[1],
        "printer": ask.printer_id,
        "accent": ask.accent,
        "has_cut_marks": ask.has_cut_marks,
        "layout": ask.layout.value,
        "has_logo": ask.has_logo,
        "has_room_words": ask.has_room_words,
        "reason": reason,
    }
