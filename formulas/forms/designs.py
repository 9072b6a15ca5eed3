"""A design as a form: layers from the bottom up, cells from the left, and the parts a bar can carry."""

from decimal import Decimal
from typing import Any

from django import forms
from django.http import QueryDict

from formulas.design_drafts import DesignDraft, DesignPartDraft, LayerDraft
from formulas.forms.boxes import count_box, decimal_box, form_faults, row_formset, speak_plainly, with_more_rows
from formulas.forms.cell_rows import cell_initial, fresh_cell, type_fresh_cell
from formulas.forms.cells import CellForm, CellFormSet
from formulas.forms.jugs import MOST_COLORS, USUAL_COLORS
from formulas.models import Design, DesignRow, Part
from soapshop.units import plain

LAYERS, PARTS = "layers", "parts"
MOST_LAYERS = MOST_CELLS = 12


class DesignForm(forms.ModelForm):
    class Meta:
        model = Design
        fields = ("name", "formula", "mold", "identity", "is_beveled", "is_stamped", "gels", "note", "is_shelved")
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}
        labels = {
            "mold": "Usual mold",
            "identity": "What the label calls it",
            "is_beveled": "Edges are beveled",
            "is_stamped": "Face is stamped",
            "gels": "Goes through gel",
            "is_shelved": "No longer made",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        speak_plainly(self)
        for name in ("formula", "mold"):
            field = self.fields[name]
            here = getattr(self.instance, f"{name}_id")
            field.queryset = field.queryset.filter(is_shelved=False) | field.queryset.filter(pk=here)  # type: ignore[attr-defined]

    @property
    def groups(self) -> list[tuple[str, list[forms.BoundField]]]:
        """Return the boxes under the headings of the page."""
        return [
            ("The bar", [self[name] for name in ("name", "formula", "mold", "identity")]),
            ("Finish", [self[name] for name in ("is_beveled", "is_stamped", "gels", "is_shelved", "note")]),
        ]

    def clean_name(self) -> str:
        return " ".join(self.cleaned_data["name"].split())


class LayerForm(forms.Form):
    height = forms.DecimalField(
        label="Height, parts",
        max_digits=7,
        decimal_places=3,
        required=False,
        widget=decimal_box(),
    )
    is_out = forms.BooleanField(label="Take this layer out", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        speak_plainly(self)


class DesignPartForm(forms.Form):
    part = forms.ModelChoiceField(queryset=Part.objects.all(), required=False, empty_label="no part", label="Part")
    where = forms.ChoiceField(
        choices=(("some", "on some bars, as ordered"), ("every", "on every bar")), required=False, label="Where"
    )
    pieces = forms.IntegerField(
        min_value=1, max_value=50, required=False, initial=1, label="Pieces on a bar", widget=count_box()
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        speak_plainly(self)

    @property
    def draft(self) -> DesignPartDraft | None:
        cleaned = getattr(self, "cleaned_data", {})
        if not cleaned.get("part"):
            return None
        return DesignPartDraft(cleaned["part"], cleaned["where"] == "every", cleaned.get("pieces") or 1)


LayerFormSet = row_formset(LayerForm, extra=0, max_num=MOST_LAYERS, absolute_max=MOST_LAYERS)
DesignPartFormSet = row_formset(DesignPartForm, extra=1)


class Drawing:
    """All rows of a design's page: layers with their cells, and the parts. Bound when something was typed."""

    def __init__(self, *, design: Design | None = None, typed: QueryDict | None = None) -> None:
        rows = [] if design is None else list(design.rows.all())
        self.color_count = _color_count(rows, typed)
        typed = None if typed is None else _lengthened(typed)
        self.layers = LayerFormSet(typed, prefix=LAYERS, initial=None if typed is not None else _layers(rows))
        self.parts = DesignPartFormSet(typed, prefix=PARTS, initial=None if typed is not None else _parts(design))
        shown: set[str] = set()
        for place, layer in enumerate(self.layers):
            kept = cell_initial(rows[place].portions.all(), shown) if place < len(rows) else [fresh_cell(0)]
            layer.cells = CellFormSet(
                typed,
                prefix=f"{LAYERS}-{place}-cells",
                initial=None if typed is not None else kept,
                form_kwargs={"colors": self.color_count},
            )
        self.fault = ""
        self._is_valid: bool | None = None

    def is_valid(self) -> bool:
        """Judge every row, also after one has failed, so that all faults show at once."""
        if self._is_valid is None:
            self._is_valid = self._judge()
        return self._is_valid

    def _judge(self) -> bool:
        verdicts = [self.layers.is_valid(), self.parts.is_valid()]
        jugs: dict[str, CellForm] = {}
        for number, layer in enumerate(self.kept_layers(), start=1):
            layer.cells.is_valid()
            for cell in layer.cells:
                cell.settle(jugs, layer_number=number)
            self._judge_layer(layer)
            verdicts += [not layer.errors, *(not cell.errors for cell in layer.cells if not _is_out(cell))]
        if not jugs:
            self.fault = "Nothing is drawn yet. Fill in at least one layer with one jug."
        return all(verdicts) and not self.fault

    def kept_layers(self) -> list[Any]:
        return [layer for layer in self.layers if not _is_out(layer)]

    @staticmethod
    def _judge_layer(layer: Any) -> None:
        """A layer needs a height and a cell; one with neither was never filled in."""
        height, has_cells = layer.cleaned_data.get("height"), any(cell.is_filled for cell in layer.cells)
        if "height" in layer.errors or (height is None and not has_cells):
            return
        if height is None:
            layer.add_error("height", "How high is this layer? Type its parts, such as 1.")
        elif height <= 0:
            layer.add_error("height", "A layer is higher than 0. Type its parts, such as 1.")

    def layer_drafts(self) -> tuple[LayerDraft, ...]:
        drafts = []
        for layer in self.kept_layers():
            cells = tuple(cell.draft for cell in layer.cells if cell.is_filled)
            if cells:
                drafts.append(LayerDraft(layer.cleaned_data["height"], cells))
        return tuple(drafts)

    def part_drafts(self) -> tuple[DesignPartDraft, ...]:
        return tuple(form.draft for form in self.parts if form.draft is not None)

    def draft(self, figures: dict[str, Any]) -> DesignDraft:
        return DesignDraft(figures=figures, layers=self.layer_drafts(), parts=self.part_drafts())

    def faults(self) -> list[str]:
        """Return what is wrong in the rows as sentences."""
        faults = [self.fault] if self.fault else []
        for number, layer in enumerate(self.layers, start=1):
            if _is_out(layer):
                continue
            faults += [f"Layer {number}, {fault}" for fault in form_faults(layer)]
            for place, cell in enumerate(layer.cells, start=1):
                faults += [f"Layer {number}, jug {place}, {fault}" for fault in form_faults(cell)]
        for place, form in enumerate(self.parts, start=1):
            faults += [f"Part {place}, {fault}" for fault in form_faults(form)]
        return faults


def _is_out(form: forms.Form) -> bool:
    return form.is_bound and bool(form.data.get(form.add_prefix("is_out")))


def _color_count(rows: list[DesignRow], typed: QueryDict | None) -> int:
    """Return how many colors a jug has room for on the page."""
    if typed is not None:
        count = typed.get("color_count", "")
        shown = int(count) if count.isascii() and count.isdecimal() and len(count) < 3 else USUAL_COLORS
        wanted = shown + (typed.get("more") == "colors")
    else:
        wanted = max((len(cell.colors.all()) for row in rows for cell in row.portions.all()), default=0)
    return min(max(wanted, USUAL_COLORS), MOST_COLORS)


def _lengthened(typed: QueryDict) -> QueryDict:
    """Add what one of the "more" buttons asked for: a layer, a jug in a layer, or a part."""
    more = typed.get("more", "")
    if more == PARTS:
        return with_more_rows(typed, PARTS, by=1)
    grown = typed.copy()
    if more == LAYERS:
        grown = with_more_rows(typed, LAYERS, by=1, most=MOST_LAYERS)
        place = _total(grown, LAYERS) - 1
        if place >= _total(typed, LAYERS):
            grown[f"{LAYERS}-{place}-height"] = "1"
    elif more.startswith(f"{LAYERS}-") and more.endswith("-cells"):
        grown = with_more_rows(typed, more, by=1, most=MOST_CELLS)
        if _total(grown, more) > _total(typed, more):
            type_fresh_cell(grown, more, _total(typed, more), _cells_so_far(typed))
    for place in range(min(_total(grown, LAYERS), MOST_LAYERS)):
        prefix = f"{LAYERS}-{place}-cells"
        if f"{prefix}-TOTAL_FORMS" not in grown:
            grown.update({f"{prefix}-TOTAL_FORMS": "1", f"{prefix}-INITIAL_FORMS": "0"})
            type_fresh_cell(grown, prefix, 0, _cells_so_far(typed))
    return grown


def _total(typed: QueryDict, prefix: str) -> int:
    total = typed.get(f"{prefix}-TOTAL_FORMS", "")
    return int(total) if total.isascii() and total.isdecimal() and len(total) < 4 else 0


def _cells_so_far(typed: QueryDict) -> int:
    return sum(_total(typed, f"{LAYERS}-{place}-cells") for place in range(min(_total(typed, LAYERS), MOST_LAYERS)))


def _layers(rows: list[DesignRow]) -> list[dict[str, Any]]:
    return [{"height": plain(row.height_share)} for row in rows] or [{"height": Decimal(1)}]


def _parts(design: Design | None) -> list[dict[str, Any]]:
    if design is None:
        return []
    return [
        {
            "part": carried.part_id,
            "where": "every" if carried.on_every_bar else "some",
            "pieces": carried.pieces_per_bar,
        }
        for carried in design.parts.all()
    ]
