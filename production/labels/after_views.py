"""What comes beside and after printing: answers to open questions, and the count of labels used."""

from dataclasses import replace
from urllib.parse import urlencode

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from production.batches.models import Batch
from production.labels.answers import answer_question
from production.labels.counting import count_labels
from production.labels.forms import MarketForm, whole_number
from production.labels.models import LabelPrint
from production.labels.reads import plain_ask
from production.labels.sheets import LabelRefusal
from soapshop.requests import StaffRequest

MOST = 5000


class CountForm(forms.Form):
    used = whole_number("On bars", "labels", least=0, most=MOST)
    spoiled = whole_number("Spoiled", "labels", least=0, most=MOST)
    left_over = whole_number("Left over and destroyed", "labels", least=0, most=MOST)
    words = forms.CharField(label="Why it does not add up", required=False, max_length=200)


@require_POST
def answer(request: StaffRequest, number: str) -> HttpResponse:
    """Keep the answer to one question of a label."""
    batch = get_object_or_404(Batch, number=number)
    finish = request.POST.get("finish", "")[:120]
    form = MarketForm(request.POST)
    ask = plain_ask(finish, workshop=request.workshop)
    if form.is_valid():
        ask = replace(ask, market=form.cleaned_data["market"], style=form.cleaned_data["style"])
    try:
        answer_question(
            batch_id=batch.pk,
            ask=ask,
            question=request.POST.get("question", "")[:60],
            answer=request.POST.get("answer", "").replace("\0", ""),
            on=timezone.localdate(),
            by=request.user,
        )
    except LabelRefusal as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, "Kept with your name. It is not asked again for this design while it reads the same.")
    return redirect(f"{reverse('production:batch-labels', args=[number])}?{urlencode({'finish': finish})}")


@require_http_methods(["GET", "POST"])
def count(request: StaffRequest, number: str, pk: int) -> HttpResponse:
    """Count what became of one printing."""
    kept = get_object_or_404(LabelPrint.objects.select_related("batch"), batch__number=number, pk=pk)
    last = kept.counts.first()
    initial = {name: getattr(last, name) for name in CountForm.base_fields} if last else {"spoiled": 0}
    form = CountForm(request.POST or None, initial=initial)
    if form.is_valid():
        try:
            count_labels(print_id=kept.pk, by=request.user, **form.cleaned_data)
        except LabelRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "The count is kept.")
            query = urlencode({"finish": kept.finish, "printed": kept.pk})
            return redirect(f"{reverse('production:batch-labels', args=[number])}?{query}#prints")
    context = {"kept": kept, "form": form, "counts": kept.counts.select_related("counted_by")}
    return render(request, "production/labels/count.html", context)
