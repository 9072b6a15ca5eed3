"""The pages of designs: list, page, draw, change, the way one is made."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from formulas.actions.designs import DesignRefusal, create_design, save_design, save_route
from formulas.design_records import EVERY_BAR, SOME_BARS, drawn_part, steps_of
from formulas.forms.boxes import form_faults
from formulas.forms.designs import DesignForm, Drawing
from formulas.forms.routes import RouteRows
from formulas.models import Design, Material
from formulas.reads.blends import color_names
from formulas.reads.designs import TypedDrawing, design_page, designs_in_use, typed_drawing
from formulas.reads.materials import material_names
from formulas.route_records import route_parts, work_ahead
from formulas.routes import finishing_words, usual_route, with_layer_note
from soapshop.panels import panels_for
from soapshop.requests import StaffRequest


@require_GET
def design_list(request: StaffRequest) -> HttpResponse:
    designs = designs_in_use(with_shelved="shelved" in request.GET)
    return render(request, "formulas/design_list.html", {"designs": designs})


@require_GET
def design(request: StaffRequest, pk: int) -> HttpResponse:
    shown = get_object_or_404(Design.objects.for_page(), pk=pk)
    context = {
        "design": shown,
        "page": design_page(shown, workshop=request.workshop),
        "panels": panels_for("formulas.design", shown),
    }
    return render(request, "formulas/design.html", context)


@require_http_methods(["GET", "POST"])
def design_new(request: StaffRequest) -> HttpResponse:
    typed = request.POST or None
    form, drawing = DesignForm(typed, instance=Design()), Drawing(typed=typed)
    if typed and "save" in typed and all([form.is_valid(), drawing.is_valid()]):
        try:
            made = create_design(draft=drawing.draft(form.cleaned_data), by=request.user)
        except DesignRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"{made.name} is drawn. Look at its route too: it began with the usual steps.")
            return redirect(made)
    return _form_page(request, form, drawing, None)


@require_http_methods(["GET", "POST"])
def design_edit(request: StaffRequest, pk: int) -> HttpResponse:
    kept = get_object_or_404(Design.objects.for_page(), pk=pk)
    typed = request.POST or None
    form = DesignForm(typed, instance=get_object_or_404(Design, pk=pk))
    drawing = Drawing(design=kept, typed=typed)
    if typed and "save" in typed and all([form.is_valid(), drawing.is_valid()]):
        try:
            saved = save_design(
                design_id=kept.pk,
                seen_saves=seen_saves(request),
                draft=drawing.draft(form.cleaned_data),
                by=request.user,
            )
        except DesignRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"{saved.name} is saved.")
            return redirect(saved)
    return _form_page(request, form, drawing, kept)


def seen_saves(request: StaffRequest) -> int:
    """Return how often the design had been saved when the page was opened."""
    seen = request.POST.get("seen_saves", "")
    return int(seen) if seen.isascii() and seen.isdecimal() and len(seen) < 9 else -1


def _form_page(request: StaffRequest, form: DesignForm, drawing: Drawing, kept: Design | None) -> HttpResponse:
    context = {"form": form, "drawing": drawing, "design": kept, "preview": None, "faults": []}
    if request.POST:
        context["preview"] = _preview(form, drawing)
        context["faults"] = drawing.faults() + (form_faults(form) if "save" in request.POST else [])
    if request.htmx:
        return render(request, "formulas/components/design_preview.html", context)
    context |= {"colorants": color_names(), "oils": material_names(Material.Kind.FAT)}
    context["liquids"] = material_names(Material.Kind.LIQUID)
    return render(request, "formulas/design_form.html", context)


def _preview(form: DesignForm, drawing: Drawing) -> TypedDrawing | None:
    """Draw what is typed, as soon as the layers and jugs can be read."""
    form.is_valid()
    if not drawing.is_valid():
        return None
    figures = form.cleaned_data
    parts = [
        drawn_part(wanted.part, EVERY_BAR if wanted.on_every_bar else SOME_BARS) for wanted in drawing.part_drafts()
    ]
    return typed_drawing(
        drawing.layer_drafts(),
        parts,
        title=figures.get("name", ""),
        mold=figures.get("mold"),
        is_beveled=figures.get("is_beveled", False),
    )


@require_http_methods(["GET", "POST"])
def design_route(request: StaffRequest, pk: int) -> HttpResponse:
    kept = get_object_or_404(Design.objects.for_page(), pk=pk)
    typed = request.POST or None
    rows, fault = RouteRows(steps=steps_of(kept), typed=typed), ""
    if typed and "save" in typed and rows.is_valid():
        try:
            saved = save_route(design_id=kept.pk, seen_saves=seen_saves(request), steps=rows.steps(), by=request.user)
        except DesignRefusal as refusal:
            fault = str(refusal)
        else:
            messages.success(request, f"The way {saved.name} is made is saved.")
            return redirect(saved)
    return render(request, "formulas/design_route.html", {"design": kept, "rows": rows, "fault": fault})


@require_POST
def design_route_usual(request: StaffRequest, pk: int) -> HttpResponse:
    """Begin the route again with the usual steps for this design's parts."""
    kept = get_object_or_404(Design.objects.for_page(), pk=pk)
    steps = usual_route(
        parts=route_parts(carried.part for carried in kept.parts.all()),
        is_finished=kept.is_beveled or kept.is_stamped,
        finishing=finishing_words(is_beveled=kept.is_beveled, is_stamped=kept.is_stamped),
        ahead=work_ahead(kept.formula),
    )
    steps = with_layer_note(steps) if len(kept.rows.all()) > 1 else steps
    try:
        save_route(design_id=kept.pk, seen_saves=seen_saves(request), steps=steps, by=request.user)
    except DesignRefusal as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, "The route begins again with the usual steps. Adjust the days to your shop.")
    return redirect("formulas:design-route", pk=kept.pk)
