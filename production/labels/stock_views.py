"""The pages of label stocks and printers."""

from decimal import Decimal

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.text import slugify
from django.views.decorators.http import require_GET, require_http_methods

from production.documents.label_stock import LABEL_STOCKS
from production.documents.printer_sheet import PrinterSheetPaper, printer_sheet_pdf
from production.labels.models import Printer, ShopStock
from production.labels.printer_fit import fit_words
from production.labels.stock_actions import StockRefused, add_printer, measure_printer, save_label_stock
from production.labels.stock_forms import PrinterForm, ReadingsForm, StockForm
from production.labels.stocks import all_stocks, find_stock, readings
from soapshop.acting import act_on
from soapshop.paper import PaperRefused, PaperUnavailable
from soapshop.paper_press import print_beside
from soapshop.requests import StaffRequest


@require_http_methods(["GET", "POST"])
def stock_list(request: StaffRequest) -> HttpResponse:
    """The stocks and the printers; the form adds a printer."""
    form = PrinterForm(request.POST or None)
    if form.is_valid():
        try:
            printer = add_printer(name=form.cleaned_data["name"], by=request.user)
        except StockRefused as refusal:
            form.add_error("name", str(refusal))
        else:
            return redirect("production:label-printer", printer.pk)
    context = {
        "form": form,
        "own": ShopStock.objects.all(),
        "packaged": LABEL_STOCKS.values(),
        "printers": Printer.objects.prefetch_related("fits"),
    }
    return render(request, "production/labels/stock_list.html", context)


@require_http_methods(["GET", "POST"])
def stock_edit(request: StaffRequest, pk: int | None = None) -> HttpResponse:
    """Add a stock, or change one; `?like=` begins with the measures of another."""
    row = get_object_or_404(ShopStock, pk=pk) if pk else None
    form = StockForm(request.POST or None, instance=row, initial=None if row else _like(request.GET.get("like", "")))
    led_on = act_on(
        request,
        form,
        lambda: save_label_stock(row=form.save(commit=False), by=request.user),
        refusal=StockRefused,
        done=lambda kept: f"{kept.name} is kept. Print a test sheet before the first labels.",
        to=reverse("production:label-stocks"),
    )
    return led_on or render(request, "production/labels/stock_form.html", {"form": form, "row": row})


@require_http_methods(["GET", "POST"])
def printer(request: StaffRequest, pk: int) -> HttpResponse:
    """One printer: what it was measured for, and the readings of a new test sheet."""
    found = get_object_or_404(Printer, pk=pk)
    stocks = all_stocks()
    code = request.POST.get("stock") or request.GET.get("stock") or ""
    code = code if code in stocks else next(iter(stocks))
    fits = {fit.stock_key: fit for fit in found.fits.select_related("measured_by")}
    before = fits.get(code)
    initial = {"stock": code} | (vars(readings(before)) if before else {})
    form = ReadingsForm(request.POST or None, stocks=[(s.code, s.name) for s in stocks.values()], initial=initial)
    if form.is_valid():
        try:
            fit = measure_printer(printer_id=found.pk, stock_key=code, read=form.readings(), by=request.user)
        except StockRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, fit_words(readings(fit)))
            return redirect(f"{reverse('production:label-printer', args=[found.pk])}?stock={code}")
    rows = [(fit, find_stock(key), fit_words(readings(fit))) for key, fit in fits.items()]
    context = {"printer": found, "form": form, "stocks": stocks.values(), "stock": stocks[code], "rows": rows}
    return render(request, "production/labels/printer.html", context)


@require_GET
def printer_sheet(request: StaffRequest, pk: int, code: str) -> HttpResponse:
    found, stock = get_object_or_404(Printer, pk=pk), find_stock(code)
    if stock is None:
        raise Http404("That label stock is not there.")
    try:
        pdf = print_beside(printer_sheet_pdf, PrinterSheetPaper(stock, found.name))
    except (PaperUnavailable, PaperRefused) as missing:
        return render(request, "production/labels/no_paper.html", {"words": str(missing)}, status=503)
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="test-sheet-{slugify(found.name)}-{stock.code}.pdf"'
    return response


def _like(code: str) -> dict[str, object]:
    stock = find_stock(code) or LABEL_STOCKS["letter-10"]
    measures = {name: getattr(stock, name) for name in StockForm.Meta.fields if name not in ("name", "is_shelved")}
    return {name: _plain(figure) if isinstance(figure, Decimal) else figure for name, figure in measures.items()}


def _plain(figure: Decimal) -> str:
    """To a thousandth of a millimeter, as the form takes it: 106.363, 200."""
    return f"{round(figure, 3).normalize():f}"
