"""The pages of color blends: list, page, add, change."""

from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from formulas.actions.blends import BlendRefusal, create_blend, save_blend
from formulas.forms.blends import BlendForm, BlendPartFormSet
from formulas.forms.boxes import with_more_rows
from formulas.models import ColorBlend, Design
from formulas.reads.blends import COLOR_KINDS
from formulas.reads.materials import material_names
from soapshop.requests import StaffRequest
from soapshop.units import plain


@require_GET
def blend_list(request: StaffRequest) -> HttpResponse:
    blends = ColorBlend.objects.with_parts()
    shown = blends if "shelved" in request.GET else blends.in_use()
    return render(request, "formulas/blend_list.html", {"blends": shown})


@require_GET
def blend(request: StaffRequest, pk: int) -> HttpResponse:
    shown = get_object_or_404(ColorBlend.objects.with_parts(), pk=pk)
    whole = sum((part.parts for part in shown.parts.all()), Decimal(0)) or Decimal(1)
    context = {
        "blend": shown,
        "shares": [(part, 100 * part.parts / whole) for part in shown.parts.all()],
        "designs": Design.objects.filter(rows__portions__colors__blend=shown).distinct(),
    }
    return render(request, "formulas/blend.html", context)


@require_http_methods(["GET", "POST"])
def blend_new(request: StaffRequest) -> HttpResponse:
    return _blend_form(request, None)


@require_http_methods(["GET", "POST"])
def blend_edit(request: StaffRequest, pk: int) -> HttpResponse:
    return _blend_form(request, get_object_or_404(ColorBlend.objects.with_parts(), pk=pk))


def _blend_form(request: StaffRequest, kept: ColorBlend | None) -> HttpResponse:
    typed = with_more_rows(request.POST, "rows") if "more" in request.POST else request.POST or None
    form = BlendForm(typed, instance=ColorBlend() if kept is None else get_object_or_404(ColorBlend, pk=kept.pk))
    rows = BlendPartFormSet(typed, prefix="rows", initial=None if typed is not None else _initial(kept))
    if typed and "more" not in typed and all([form.is_valid(), rows.is_valid()]):
        content: dict[str, Any] = {
            "figures": form.cleaned_data,
            "parts": [row.draft for row in rows if row.draft is not None],
            "by": request.user,
        }
        try:
            saved = create_blend(**content) if kept is None else save_blend(blend_id=kept.pk, **content)
        except BlendRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"{saved.name} is saved.")
            return redirect(saved)
    context = {"form": form, "rows": rows, "blend": kept, "colorants": material_names(*COLOR_KINDS)}
    return render(request, "formulas/blend_form.html", context)


def _initial(kept: ColorBlend | None) -> list[dict[str, Any]]:
    if kept is None:
        return []
    return [{"material": part.material.name, "parts": plain(part.parts)} for part in kept.parts.all()]
