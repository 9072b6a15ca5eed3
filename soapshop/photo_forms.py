"""The box for a photo: what it hands on is drawn anew already and may be kept."""

from typing import Any

from django import forms

from soapshop.photos import Photo, PhotoRefusal, read_photo

ACCEPTED = "image/jpeg,image/png,image/webp"


class PhotoBox(forms.FileField):
    """A file box that cleans to a ``Photo``; the form around it needs ``enctype="multipart/form-data"``."""

    widget = forms.FileInput(attrs={"accept": ACCEPTED})
    default_error_messages = {"required": "Choose a photo first."}

    def clean(self, data: Any, initial: Any = None) -> Photo | None:
        upload = super().clean(data, initial)
        if not upload:
            return None
        try:
            return read_photo(upload)
        except PhotoRefusal as refusal:
            raise forms.ValidationError(str(refusal)) from refusal


class PhotoForm(forms.Form):
    photo = PhotoBox(label="Photo", help_text="JPEG, PNG or WebP, at most 20 MB.")
