"""What was really poured, jug by jug, as a form."""

from typing import Any

from django import forms

from production.batches.actions.jugs import JugPoured
from production.batches.forms import GramsField
from production.batches.models import PortionFill
from soapshop.units import plain


class JugsForm(forms.Form):
    def __init__(self, *args: Any, jugs: list[PortionFill], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.jugs = jugs
        for jug in jugs:
            self.fields[f"grams_{jug.letter}"] = GramsField(required=False, label=f"Jug {jug.letter}, poured")
            self.fields[f"note_{jug.letter}"] = forms.CharField(
                max_length=200, required=False, label=f"Jug {jug.letter}, what was seen"
            )
            weighed = None if jug.actual_grams is None else plain(jug.actual_grams)
            self.initial[f"grams_{jug.letter}"] = weighed
            self.initial[f"note_{jug.letter}"] = jug.note

    @property
    def rows(self) -> list[tuple[PortionFill, forms.BoundField, forms.BoundField]]:
        return [(jug, self[f"grams_{jug.letter}"], self[f"note_{jug.letter}"]) for jug in self.jugs]

    @property
    def poured(self) -> dict[str, JugPoured]:
        cleaned = self.cleaned_data
        return {
            jug.letter: JugPoured(cleaned[f"grams_{jug.letter}"], cleaned[f"note_{jug.letter}"]) for jug in self.jugs
        }
