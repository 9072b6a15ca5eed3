"""One page that shows every piece of the look, for the people who draw pages and for the tests that watch them.

Everything on it is made up. It is no part of a shop's book: its address exists only where SOAPSHOP_DEBUG is set.
"""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

SPECIMEN_DAY = date(2026, 5, 12)


def _amount_box(unit: str) -> forms.TextInput:
    return forms.TextInput(attrs={"data-unit": unit, "inputmode": "decimal"})


class SpecimenForm(forms.Form):
    """Every kind of field a page here uses."""

    name = forms.CharField(help_text="As your customers will read it.")
    superfat = forms.DecimalField(label="Planned superfat", min_value=0, max_value=30, widget=_amount_box("%"))
    oils = forms.DecimalField(label="Oils together", widget=_amount_box("g"), help_text="Grams, or such as 1 lb 4 oz.")
    pour_on = forms.DateField(label="Pour on", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    mold = forms.ChoiceField(choices=[("", "Choose a mold"), ("loaf", "Loaf, 12 bars"), ("slab", "Slab, 48 bars")])
    liquid = forms.ChoiceField(
        label="Liquid is given by",
        choices=[("lye", "Strength of the lye"), ("ratio", "Liquid to lye"), ("oils", "Percent of the oils")],
        widget=forms.RadioSelect,
        help_text="The other two follow from it.",
    )
    notes = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 3}))
    is_gift = forms.BooleanField(label="Wrap as a gift", required=False, help_text="Adds a band and a card.")


class OilForm(forms.Form):
    material = forms.CharField(label="Oil")
    grams = forms.DecimalField(label="Mass", widget=_amount_box("g"))
    keeps = forms.BooleanField(label="Keep out of the lye", required=False)


OilFormSet = forms.formset_factory(OilForm, extra=0)

TYPED = {
    "name": "Field and hedge",
    "superfat": "five",
    "oils": "1000",
    "pour_on": "2026-05-14",
    "mold": "",
    "notes": "",
    "oil-TOTAL_FORMS": "3",
    "oil-INITIAL_FORMS": "0",
    "oil-0-material": "Olive oil",
    "oil-0-grams": "400",
    "oil-1-material": "Coconut oil, refined",
    "oil-1-grams": "lots",
    "oil-2-material": "Shea butter",
    "oil-2-grams": "100",
}
STATES = (
    ("Draft", "draft"),
    ("Planned", "open"),
    ("In process", "going"),
    ("Curing", "waiting"),
    ("Ready for review", "review"),
    ("Ready", "ready"),
    ("Packed", "done"),
    ("Handed over", "away"),
    ("Approved", "locked"),
    ("On hold", "hold"),
    ("Late", "late"),
    ("At risk", "risk"),
    ("Cancelled", "struck"),
)
STAGES = (
    {"name": "Enquiry", "note": "Mar 2", "is_done": True},
    {"name": "Quoted", "note": "Mar 5", "is_done": True},
    {"name": "Accepted", "note": "Mar 9", "is_done": True},
    {"name": "In production", "note": "48 of 96 bars", "is_here": True},
    {"name": "Ready", "note": "by May 30"},
    {"name": "Packed", "note": ""},
    {"name": "Handed over", "note": "Jun 6"},
)
PARTS = (
    {"name": "Overview", "url": "#main", "is_here": True},
    {"name": "Lines", "url": "#forms", "is_here": False},
    {"name": "Batches", "url": "#forms", "is_here": False},
    {"name": "Papers", "url": "#forms", "is_here": False},
)


def _orders() -> list[dict[str, Any]]:
    rows = (
        ("1042", "Hollis & Wren wedding", "At risk", "risk", 25, 120, "640.00"),
        ("1039", "Copper Kettle Inn", "Late", "late", -3, 60, "312.50"),
        ("1047", "R. Ashdown", "In production", "going", 1, 16, "84.00"),
        ("1031", "Fernhill Market", "Ready", "ready", 0, 72, "450.00"),
    )
    return [
        {
            "number": number,
            "customer": customer,
            "word": word,
            "shape": shape,
            "wanted_on": SPECIMEN_DAY + timedelta(days=distance),
            "bars": bars,
            "due": Decimal(due),
        }
        for number, customer, word, shape, distance, bars, due in rows
    ]


def _weigh_out() -> list[dict[str, Any]]:
    rows = (
        ("Olive oil", "A-31", "400", "396", "404", "400.5", "O", "#b9a94f", "plain"),
        ("Coconut oil, refined", "C-114", "300", "297", "303", "299.8", "C", "#f3ead2", "slant"),
        ("Madder root, ground", "M-7", "4.5", "4.3", "4.7", "", "M", "#a8433a", "dots"),
        ("Indigo, natural", "I-2", "1.2", "1.1", "1.3", "", "I", "#2f3f73", "waves"),
    )
    keys = ("material", "lot", "planned_grams", "least_grams", "most_grams", "weighed_grams")
    return [dict(zip((*keys, "letter", "color", "pattern"), row, strict=True)) for row in rows]


def specimen_page() -> dict[str, Any]:
    """Return what the specimen shows, with a form that has been sent with slips in it."""
    return {
        "today": SPECIMEN_DAY,
        "poured_on": SPECIMEN_DAY - timedelta(days=17),
        "ready_on": SPECIMEN_DAY + timedelta(days=25),
        "koh_grams": Decimal("217.762"),
        "naoh_grams": Decimal("155.236"),
        "lye_grams": Decimal("147.474"),
        "water_grams": Decimal("299.416"),
        "superfat_percent": Decimal("5"),
        "cost": "$1.84",
        "parts": PARTS,
        "stages": STAGES,
        "states": STATES,
        "orders": _orders(),
        "weigh_out": _weigh_out(),
        "events": (
            {"at": datetime(2026, 5, 11, 15, 20, tzinfo=UTC), "text": "Cut into 48 bars.", "by": "Tobin"},
            {"at": datetime(2026, 4, 25, 10, 5, tzinfo=UTC), "text": "Poured at 43 °C.", "by": "Ines"},
        ),
        "form": SpecimenForm(TYPED),
        "formset": OilFormSet(TYPED, prefix="oil"),
    }


@require_safe
def specimen(request: HttpRequest) -> HttpResponse:
    return render(request, "soapshop/specimen.html", specimen_page())
