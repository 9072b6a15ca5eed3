from django import forms


class ApproveForm(forms.Form):
    version = forms.IntegerField(
        widget=forms.HiddenInput,
        min_value=1,
        max_value=9999,
        error_messages={"required": "Open this page again, then approve."},
    )
    name = forms.CharField(
        max_length=120,
        label="Your name",
        error_messages={"required": "Write your name, so that the shop knows who approved it."},
    )
