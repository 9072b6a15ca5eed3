"""The pages of color blends: list, page, add, change."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from formulas.actions.blends import BlendRefusal, create_blend, keep_blend_photo, save_blend
from formulas.forms.blends import BlendForm, BlendPartFormSet
from formulas.forms.boxes import with_more_rows
from formulas.models import ColorBlend, Design
from formulas.reads.blends import COLOR_KINDS, JUG_OILS_GRAMS, blend_shares
from formulas.reads.materials import material_names
from soapshop.photo_forms import PhotoForm
from soapshop.photos import PhotoMissing, photo_answer
from soapshop.requests import StaffRequest
from soapshop.units import plain


@require_GET
def blend_list(request: StaffRequest) -> HttpResponse:
    blends = ColorBlend.objects.with_parts()
    shown = blends if "shelved" in request.GET else blends.in_use()
    return render(request, "formulas/blend_list.html", {"blends": shown})


@require_GET
def blend(request: StaffRequest, pk: int) -> HttpResponse:
    return _blend_page(request, pk, PhotoForm())


@require_http_methods(["GET", "POST"])
def blend_photo(request: StaffRequest, pk: int) -> HttpResponse:
    """Show the photo of a shade, or keep the one that is sent."""
    kept = get_object_or_404(ColorBlend, pk=pk)
    if request.method == "GET":
        return _photo_of(request, kept)
    takes_away = "remove" in request.POST
    form = PhotoForm(request.POST, request.FILES)
    if takes_away or form.is_valid():
        photo = None if takes_away else form.cleaned_data["photo"]
        try:
            keep_blend_photo(blend_id=pk, photo=photo, by=request.user)
        except BlendRefusal as refusal:
            messages.error(request, str(refusal))
        else:
            messages.success(request, "The photo is taken away." if takes_away else "The photo is kept.")
        return redirect(kept)
    return _blend_page(request, pk, form, status=422)


def _photo_of(request: StaffRequest, kept: ColorBlend) -> HttpResponse:
    try:
        return photo_answer(request, kept.photo)
    except PhotoMissing as missing:
        raise Http404(str(missing)) from missing


def _blend_page(request: StaffRequest, pk: int, photo_form: PhotoForm, status: int = 200) -> HttpResponse:
    shown = get_object_or_404(ColorBlend.objects.with_parts(), pk=pk)
    context = {
        "blend": shown,
        "shares": blend_shares(shown),
        "jug_oils": JUG_OILS_GRAMS,
        "designs": Design.objects.filter(rows__portions__colors__blend=shown).distinct(),
        "photo_form": photo_form,
    }
    return render(request, "formulas/blend.html", context, status=status)


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
