"""The cure rack: every batch in cure on one sheet."""

from functools import partial
from typing import cast

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from production.cure.actions.review import update_ready
from production.cure.find_reads import FoundBatch, find_batches
from production.cure.forms import FindForm
from production.cure.reads import SHOWN
from production.cure.remembered import kept_rack
from soapshop.models import User

PAGE_SIZE = 50
PARTS = "production/cure/components"


@require_GET
def cure_rack(request: HttpRequest) -> HttpResponse:
    which = request.GET.get("show", "all")
    which = which if which in SHOWN else "all"
    kept = kept_rack(timezone.localdate())
    page = Paginator(kept.rack.shown(which), PAGE_SIZE).get_page(request.GET.get("page"))
    told = {"rack": kept.rack, "page": page}
    rows = {**told, "rows": partial(kept.rack.courses, page.object_list)}
    shelf = {"shelf": kept.rack.shelf, "near": kept.rack.near_their_end}
    context = {
        **told,
        "drawn": kept.draw(f"{which} {page.number}", f"{PARTS}/rack_drawn.html", rows),
        "shelf": kept.draw("shelf", f"{PARTS}/shelf_table.html", shelf),
        "which": which,
        "choices": SHOWN,
    }
    return render(request, "production/cure/rack.html", context)


@require_POST
def cure_look(request: HttpRequest) -> HttpResponse:
    """Note every batch that the facts call ready today."""
    noted = update_ready(today=timezone.localdate(), by=cast(User, request.user))
    if noted:
        messages.success(request, f"Ready for review: {', '.join(batch.number for batch in noted)}.")
    else:
        messages.info(request, "No batch became ready since the last look.")
    return redirect("production:cure-rack")


@require_GET
def cure_find(request: HttpRequest) -> HttpResponse:
    """Look batches up by scent and by how strong their lye was."""
    asked = bool(request.GET.get("scent") or request.GET.get("lye"))
    form = FindForm(request.GET if asked else None)
    found: tuple[FoundBatch, ...] = ()
    if asked and form.is_valid():
        found = find_batches(scent=form.cleaned_data["scent"], least_lye_percent=form.cleaned_data["lye"])
    return render(request, "production/cure/find.html", {"form": form, "asked": asked, "found": found})
