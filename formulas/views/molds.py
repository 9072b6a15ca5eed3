"""The pages of molds: list, page, add, change."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from formulas.actions.molds import MoldRefusal, create_mold, save_mold
from formulas.forms.molds import MoldForm
from formulas.models import Mold
from formulas.reads.mold_bars import mold_bars
from formulas.reads.molds import cut_plan, formulas_to_try, mold_fill, mold_row, mold_rows, sizes_of_box, ways_to_fill
from soapshop.acting import act_on
from soapshop.panels import panels_for
from soapshop.requests import StaffRequest


@require_GET
def mold_list(request: StaffRequest) -> HttpResponse:
    return render(request, "formulas/mold_list.html", {"rows": mold_rows(with_shelved="shelved" in request.GET)})


@require_GET
def mold(request: StaffRequest, pk: int) -> HttpResponse:
    shown = get_object_or_404(Mold.objects.select_related("box"), pk=pk)
    chosen = request.GET.get("formula", "")
    fill, refusal = mold_fill(shown, chosen)
    bars, cured, kept = (request.GET.get(name, "").strip() for name in ("bars", "cured", "kept"))
    ways, bars_refusal = (
        mold_bars(shown, fill.revision, typed_bars=bars, typed_cured=cured, typed_kept=kept) if fill else ((), "")
    )
    context = {
        "mold": shown,
        "row": mold_row(shown),
        "fillings": ways_to_fill(shown, fill.revision if fill else None),
        "picture": cut_plan(shown),
        "formulas": formulas_to_try(),
        "chosen": chosen,
        "fill": fill,
        "refusal": refusal,
        "bars": bars,
        "cured": cured,
        "kept": kept,
        "ways": ways,
        "bars_refusal": bars_refusal,
        "panels": panels_for("formulas.mold", shown),
        "designs": shown.designs.filter(is_shelved=False),
    }
    return render(request, "formulas/mold.html", context)


@require_http_methods(["GET", "POST"])
def mold_new(request: StaffRequest) -> HttpResponse:
    kind, box = request.POST.get("kind") or request.GET.get("kind", ""), _box(request)
    if kind not in Mold.Kind.values:
        return render(request, "formulas/mold_kind.html", {"box": box})
    form = MoldForm(request.POST or None, kind=kind, instance=Mold(box=box, **sizes_of_box(box)))
    led_on = act_on(
        request,
        form,
        lambda: create_mold(kind=kind, figures=form.cleaned_data, box=box, by=request.user),
        refusal=MoldRefusal,
        done=lambda made: f"{made.name} is in the book.",
    )
    return led_on or render(request, "formulas/mold_form.html", {"form": form, "kind": Mold.Kind(kind), "box": box})


def _box(request: StaffRequest) -> Mold | None:
    """Return the mold that the new one is to be another way to fill."""
    typed = request.POST.get("box") or request.GET.get("box", "")
    is_number = typed.isascii() and typed.isdecimal() and len(typed) < 13
    return get_object_or_404(Mold, pk=int(typed)) if is_number else None


@require_http_methods(["GET", "POST"])
def mold_edit(request: StaffRequest, pk: int) -> HttpResponse:
    kept = get_object_or_404(Mold, pk=pk)
    form = MoldForm(request.POST or None, kind=kept.kind, instance=get_object_or_404(Mold, pk=pk))
    led_on = act_on(
        request,
        form,
        lambda: save_mold(mold_id=kept.pk, figures=form.cleaned_data, by=request.user),
        refusal=MoldRefusal,
        done=lambda saved: f"{saved.name} is saved.",
    )
    return led_on or render(
        request, "formulas/mold_form.html", {"form": form, "mold": kept, "kind": Mold.Kind(kept.kind)}
    )


@require_POST
def mold_bars_taken(request: StaffRequest, pk: int) -> HttpResponse:
    """Plan with the good bars that the mold's own fillings gave."""
    kept, typed = get_object_or_404(Mold, pk=pk), request.POST.get("bars", "")
    bars = int(typed) if typed.isascii() and typed.isdecimal() and len(typed) < 6 else 0
    try:
        if bars < 1:
            raise MoldRefusal("A filling gives at least one good bar. Look at what was cut.")
        saved = save_mold(mold_id=kept.pk, figures={"usable_bars": bars}, by=request.user)
    except MoldRefusal as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, f"{saved.name}: {saved.usable_bars} good bars are counted on from now on.")
    return redirect(kept)
