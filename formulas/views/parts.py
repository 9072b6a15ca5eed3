"""The pages of parts made or bought ahead: list, page, add, change."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from formulas.actions.parts import PartRefusal, create_part, save_part
from formulas.forms.boxes import with_more_rows
from formulas.forms.parts import INGREDIENT_KINDS, IngredientFormSet, PartForm
from formulas.models import Part
from formulas.reads.materials import material_names
from formulas.spares import parts_with_spares
from soapshop.panels import panels_for
from soapshop.requests import StaffRequest
from soapshop.units import plain

PIECES_SHOWN = (6, 12, 36, 120)


@require_GET
def part_list(request: StaffRequest) -> HttpResponse:
    return render(request, "formulas/part_list.html", {"parts": Part.objects.select_related("formula")})


@require_GET
def part(request: StaffRequest, pk: int) -> HttpResponse:
    shown = get_object_or_404(Part.objects.select_related("formula").prefetch_related("ingredients__material"), pk=pk)
    spares = [
        (pieces, parts_with_spares(pieces, percent=shown.spare_percent, least=shown.spare_least))
        for pieces in PIECES_SHOWN
    ]
    context = {
        "part": shown,
        "spares": spares,
        "carried_by": shown.designs.select_related("design"),
        "panels": panels_for("formulas.part", shown),
    }
    return render(request, "formulas/part.html", context)


@require_http_methods(["GET", "POST"])
def part_new(request: StaffRequest) -> HttpResponse:
    return _part_form(request, None)


@require_http_methods(["GET", "POST"])
def part_edit(request: StaffRequest, pk: int) -> HttpResponse:
    return _part_form(request, get_object_or_404(Part.objects.prefetch_related("ingredients__material"), pk=pk))


def _part_form(request: StaffRequest, kept: Part | None) -> HttpResponse:
    typed = with_more_rows(request.POST, "rows") if "more" in request.POST else request.POST or None
    form = PartForm(typed, instance=Part() if kept is None else get_object_or_404(Part, pk=kept.pk))
    rows = IngredientFormSet(typed, prefix="rows", initial=None if typed is not None else _initial(kept))
    if typed and "more" not in typed and all([form.is_valid(), rows.is_valid()]):
        try:
            content: dict[str, Any] = {
                "figures": form.cleaned_data,
                "ingredients": [row.draft for row in rows if row.draft is not None],
                "by": request.user,
            }
            saved = create_part(**content) if kept is None else save_part(part_id=kept.pk, **content)
        except PartRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"{saved.name} is saved.")
            return redirect(saved)
    context = {"form": form, "rows": rows, "part": kept, "names": material_names(*INGREDIENT_KINDS)}
    return render(request, "formulas/part_form.html", context)


def _initial(kept: Part | None) -> list[dict[str, Any]]:
    if kept is None or kept.is_made_here:
        return []
    return [{"material": row.material.name, "percent": plain(row.percent)} for row in kept.ingredients.all()]
