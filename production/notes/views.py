"""Notes and photos of a batch, and looking for batches by them."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from formulas.models import Material
from production.batches.asked import BatchRefusal
from production.batches.models import Batch
from production.notes.actions import write_note
from production.notes.forms import LookForm, NoteForm
from production.notes.models import Note
from production.notes.reads import SCENTS, found_batches, notes_of
from soapshop.photos import PhotoMissing, photo_answer
from soapshop.requests import StaffRequest

PAGE_SIZE = 25


@require_http_methods(["GET", "POST"])
def batch_notes(request: StaffRequest, number: str) -> HttpResponse:
    batches = Batch.objects.select_related("design").prefetch_related("portions", "deviations").defer("frozen")
    found, today = get_object_or_404(batches, number=number), timezone.localdate()
    is_sent = request.method == "POST"
    typed = (request.POST, request.FILES) if is_sent else ()
    form = NoteForm(*typed, batch=found, today=today)
    if form.is_valid():
        try:
            write_note(batch_id=found.pk, by=request.user, **form.details)
        except BatchRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "The note is kept.")
            return redirect("production:batch-notes", number=number)
    page = Paginator(notes_of(found), PAGE_SIZE).get_page(request.GET.get("page"))
    context = {"batch": found, "page": page, "form": form}
    return render(request, "production/notes/batch_notes.html", context, status=422 if form.errors else 200)


@require_GET
def note_photo(request: StaffRequest, number: str, pk: int) -> HttpResponse:
    note = get_object_or_404(Note, pk=pk, batch__number=number)
    try:
        return photo_answer(request, note.photo)
    except PhotoMissing as missing:
        raise Http404(str(missing)) from missing


@require_GET
def look(request: StaffRequest) -> HttpResponse:
    """Find batches by words, by what is in them and by the strength of their lye."""
    form = LookForm(request.GET or None)
    found = found_batches(**form.cleaned_data) if form.is_valid() else []
    context = {
        "form": form,
        "page": Paginator(found, PAGE_SIZE).get_page(request.GET.get("page")),
        "materials": Material.objects.filter(kind__in=SCENTS).order_by("name").values_list("name", flat=True),
        "is_asked": form.is_bound,
    }
    return render(request, "production/notes/look.html", context, status=422 if form.errors else 200)
