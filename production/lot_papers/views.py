"""The papers of a lot: kept, opened, taken away. Only for people who have signed in, as every page of the shop."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from production.lot_papers.actions import keep_lot_paper, remove_lot_paper
from production.lot_papers.forms import LotPaperForm
from production.lot_papers.models import LotPaper
from production.lot_papers.reads import papers_of
from production.stock.actions import StockRefusal
from production.stock.models import Lot
from soapshop.kept_pdfs import PdfMissing, pdf_answer
from soapshop.photos import PhotoMissing, photo_answer
from soapshop.requests import StaffRequest


@require_http_methods(["GET", "POST"])
def lot_papers(request: StaffRequest, code: str) -> HttpResponse:
    lot = get_object_or_404(Lot.objects.select_related("material"), code=code)
    is_sent = request.method == "POST"
    form = LotPaperForm(request.POST, request.FILES) if is_sent else LotPaperForm()
    if form.is_valid():
        try:
            paper = keep_lot_paper(lot_id=lot.pk, by=request.user, **form.cleaned_data)
        except StockRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"The {paper.get_kind_display().lower()} is kept with {lot.code}.")
            return redirect("production:lot-papers", code=lot.code)
    context = {"lot": lot, "papers": papers_of(lot, today=timezone.localdate()), "form": form}
    return render(request, "production/stock/lot_papers.html", context, status=422 if form.errors else 200)


@require_GET
def lot_paper(request: StaffRequest, code: str, pk: int) -> HttpResponse:
    paper = get_object_or_404(LotPaper.objects.select_related("lot"), pk=pk, lot__code=code)
    try:
        if paper.is_pdf:
            return pdf_answer(paper.file, save_as=f"{paper.kind.replace('_', '-')}-{paper.lot.code}")
        return photo_answer(request, paper.file)
    except (PdfMissing, PhotoMissing) as missing:
        raise Http404(str(missing)) from missing


@require_POST
def lot_paper_remove(request: StaffRequest, code: str, pk: int) -> HttpResponse:
    paper = get_object_or_404(LotPaper, pk=pk, lot__code=code)
    try:
        remove_lot_paper(paper_id=paper.pk, reason=request.POST.get("reason", "")[:300], by=request.user)
    except StockRefusal as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, "The paper is taken away.")
    return redirect("production:lot-papers", code=code)
