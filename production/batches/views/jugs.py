"""The page on which a batch's jugs are written down as they were really poured."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from production.batches.actions.jugs import note_jugs
from production.batches.asked import BatchRefusal
from production.batches.jug_forms import JugsForm
from production.batches.models import Batch
from soapshop.requests import StaffRequest


@require_http_methods(["GET", "POST"])
def batch_jugs(request: StaffRequest, number: str) -> HttpResponse:
    batch = get_object_or_404(Batch.objects.select_related("design").prefetch_related("portions"), number=number)
    form = JugsForm(request.POST or None, jugs=list(batch.portions.all()))
    if form.is_valid():
        try:
            note_jugs(batch_id=batch.pk, poured=form.poured, by=request.user)
        except BatchRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "It is written down what was really poured.")
            return redirect(batch)
    context = {"batch": batch, "form": form}
    return render(request, "production/bench/jugs.html", context, status=422 if form.is_bound else 200)
