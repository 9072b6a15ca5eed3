"""The pages of materials: list, page, add, change, allergen statement, label names."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from formulas.actions.materials import (
    MaterialRefusal,
    confirm_label_names,
    create_material,
    save_material,
    set_allergen_statement,
)
from formulas.forms.allergens import AllergenFormSet, StatementForm
from formulas.forms.boxes import with_more_rows
from formulas.forms.materials import MaterialForm
from formulas.models import Allergen, Material
from formulas.reads.materials import kinds_with_counts, material_page, material_rows
from soapshop.panels import panels_for
from soapshop.requests import StaffRequest
from soapshop.units import plain

ROWS_ON_A_PAGE = 100


@require_GET
def material_list(request: StaffRequest) -> HttpResponse:
    kind = request.GET.get("kind", "")
    kind = kind if kind in Material.Kind.values else ""
    rows = material_rows(kind=kind, words=request.GET.get("words", ""), with_shelved="shelved" in request.GET)
    page = Paginator(rows, ROWS_ON_A_PAGE).get_page(request.GET.get("page"))
    context = {"page": page, "kinds": kinds_with_counts(), "kind": kind}
    return render(request, "formulas/material_list.html", context)


@require_GET
def material(request: StaffRequest, pk: int) -> HttpResponse:
    shown = get_object_or_404(Material.objects.prefetch_related("allergen_shares__allergen"), pk=pk)
    context = {
        "material": shown,
        "page": material_page(shown),
        "panels": panels_for("formulas.material", shown),
    }
    return render(request, "formulas/material.html", context)


@require_http_methods(["GET", "POST"])
def material_new(request: StaffRequest) -> HttpResponse:
    kind = request.POST.get("kind") or request.GET.get("kind", "")
    if kind not in Material.Kind.values or kind == Material.Kind.SOAP:
        return render(request, "formulas/material_kind.html", {"kinds": kinds_with_counts()})
    form = MaterialForm(request.POST or None, kind=kind, instance=Material())
    if form.is_valid():
        try:
            made = create_material(kind=kind, figures=form.figures(), by=request.user)
        except MaterialRefusal as refusal:
            form.add_error("name", str(refusal))
        else:
            messages.success(request, f"{made.name} is in the book.")
            return redirect(made)
    return render(request, "formulas/material_form.html", {"form": form, "kind": Material.Kind(kind)})


@require_http_methods(["GET", "POST"])
def material_edit(request: StaffRequest, pk: int) -> HttpResponse:
    kept = get_object_or_404(Material, pk=pk)
    form = MaterialForm(request.POST or None, kind=kept.kind, instance=get_object_or_404(Material, pk=pk))
    if form.is_valid():
        try:
            saved = save_material(material_id=kept.pk, figures=form.figures(), by=request.user)
        except MaterialRefusal as refusal:
            form.add_error("name", str(refusal))
        else:
            messages.success(request, f"{saved.name} is saved.")
            return redirect(saved)
    context = {"form": form, "material": kept, "kind": Material.Kind(kept.kind)}
    return render(request, "formulas/material_form.html", context)


@require_POST
def material_confirm_names(request: StaffRequest, pk: int) -> HttpResponse:
    kept = get_object_or_404(Material, pk=pk)
    try:
        confirm_label_names(material_id=kept.pk, by=request.user)
    except MaterialRefusal as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, f"The label names of {kept.name} are confirmed.")
    return redirect(kept)


@require_http_methods(["GET", "POST"])
def material_allergens(request: StaffRequest, pk: int) -> HttpResponse:
    kept = get_object_or_404(Material.objects.prefetch_related("allergen_shares__allergen"), pk=pk)
    shares = list(kept.allergen_shares.all())
    typed = with_more_rows(request.POST, "rows", by=5, most=85) if "more" in request.POST else request.POST or None
    rows = AllergenFormSet(
        typed,
        prefix="rows",
        initial=[{"allergen": share.allergen.name, "percent": plain(share.share_percent)} for share in shares]
        if typed is None
        else None,
    )
    source = shares[0].source if shares else ""
    form = StatementForm(typed, initial={"source": source, "is_entered": kept.has_allergen_statement})
    if typed and "more" not in typed and all([rows.is_valid(), form.is_valid()]):
        try:
            set_allergen_statement(
                material_id=kept.pk,
                shares=[row.share for row in rows if row.share is not None],
                is_entered=form.cleaned_data["is_entered"],
                source=form.cleaned_data["source"],
                by=request.user,
            )
        except MaterialRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"The allergens of {kept.name} are written down.")
            return redirect(kept)
    names = Allergen.objects.order_by("name").values_list("name", flat=True)
    return render(
        request, "formulas/material_allergens.html", {"material": kept, "rows": rows, "form": form, "names": names}
    )
