"""What is typed to keep a paper with a lot."""

from typing import Any

from django import forms

from production.lot_papers.models import LotPaper
from production.stock.forms import DayField
from soapshop.kept_pdfs import KeptPdf, PdfRefusal, looks_like_pdf, read_pdf
from soapshop.photos import Photo, PhotoRefusal, read_photo

ACCEPTED = "application/pdf,image/jpeg,image/png,image/webp"


class PaperBox(forms.FileField):
    """A file box that cleans to a PDF that opens or to a photo drawn anew."""

    widget = forms.FileInput(attrs={"accept": ACCEPTED})
    default_error_messages = {"required": "Choose a file first.", "empty": "This file is empty. Choose another one."}

    def clean(self, data: Any, initial: Any = None) -> KeptPdf | Photo | None:
        upload = super().clean(data, initial)
        if not upload:
            return None
        try:
            return read_pdf(upload) if looks_like_pdf(upload) else read_photo(upload)
        except (PdfRefusal, PhotoRefusal) as refusal:
            raise forms.ValidationError(str(refusal)) from refusal


class LotPaperForm(forms.Form):
    kind = forms.ChoiceField(
        choices=LotPaper.Kind.choices,
        label="What it is",
        error_messages={"required": "What is it? Choose one.", "invalid_choice": "Choose one from the list."},
    )
    file = PaperBox(label="File", help_text="PDF of at most 8 MB, or a photo of it.")
    dated_on = DayField(label="Dated", required=False, help_text="The revision day of a safety sheet.")
    note = forms.CharField(max_length=200, required=False)
