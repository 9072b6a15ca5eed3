"""The pages of a formula: list, write, look at, revise, approve, compare."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from formulas.actions.revisions import (
    FormulaRefusal,
    approve_revision,
    create_formula,
    retire_revision,
    revise_formula,
    save_draft,
)
from formulas.forms.boxes import form_faults
from formulas.forms.figures import FiguresForm
from formulas.forms.revisions import ApproveForm, FormulaNameForm, LineSections, ReviseForm
from formulas.models import Formula, FormulaLine, FormulaRevision, Mold
from formulas.reads.comparison import compared_revisions
from formulas.reads.materials import material_choices
from formulas.reads.revisions import RevisionPage, formula_rows, revision_page, typed_page
from formulas.reads.sizes import SizeAsked
from formulas.records import ONE_KILOGRAM, reckon_lines
from soapshop.panels import panels_for
from soapshop.requests import StaffRequest


@require_GET
def formula_list(request: StaffRequest) -> HttpResponse:
    return render(request, "formulas/formula_list.html", {"rows": formula_rows()})


@require_GET
def formula(request: StaffRequest, pk: int) -> HttpResponse:
    """Lead to the revision in use: the approved one, else the newest."""
    found = get_object_or_404(Formula, pk=pk)
    revision = found.revisions.approved().first() or found.revisions.order_by("-number").first()
    if revision is None:
        messages.info(request, f"{found.name} has no revision yet. Write its lines first.")
        return redirect("formulas:formula-list")
    return redirect(revision)


@require_GET
def revision(request: StaffRequest, pk: int, number: int) -> HttpResponse:
    shown = get_object_or_404(FormulaRevision.objects.for_page(), formula_id=pk, number=number)
    return _revision_page(request, shown, ApproveForm())


def _revision_page(request: StaffRequest, shown: FormulaRevision, approve_form: ApproveForm) -> HttpResponse:
    page = revision_page(
        shown,
        workshop=request.workshop,
        asked=SizeAsked.of(request.GET),
        superfat=request.GET.get("superfat", "").strip(),
    )
    context = {
        "revision": shown,
        "page": page,
        "molds": Mold.objects.filter(is_shelved=False),
        "approve_form": approve_form,
        "revise_form": ReviseForm(),
        "panels": panels_for("formulas.revision", shown),
    }
    return render(request, "formulas/revision.html", context)


@require_http_methods(["GET", "POST"])
def formula_new(request: StaffRequest) -> HttpResponse:
    typed = request.POST or None
    name_form, figures = FormulaNameForm(typed), FiguresForm(typed, instance=FormulaRevision())
    sections = LineSections(typed=typed)
    if typed and "save" in request.POST and all([name_form.is_valid(), figures.is_valid(), sections.is_valid()]):
        try:
            made = create_formula(
                name=name_form.cleaned_data["name"],
                figures=figures.cleaned_data,
                lines=sections.drafts(),
                by=request.user,
            )
        except FormulaRefusal as refusal:
            name_form.add_error(None, str(refusal))
        else:
            messages.success(request, f"{made.formula.name} is written as a draft.")
            return redirect(made)
    return _form_page(request, name_form=name_form, figures=figures, sections=sections)


@require_http_methods(["GET", "POST"])
def revision_edit(request: StaffRequest, pk: int, number: int) -> HttpResponse:
    draft = get_object_or_404(FormulaRevision.objects.for_page(), formula_id=pk, number=number)
    typed = request.POST or None
    figures = FiguresForm(typed, instance=draft)
    sections = LineSections(lines=draft.lines.all(), typed=typed)
    if typed and "save" in request.POST and all([figures.is_valid(), sections.is_valid()]):
        try:
            saved = save_draft(
                revision_id=draft.pk,
                seen_saves=_seen_saves(request),
                figures=figures.cleaned_data,
                lines=sections.drafts(),
                by=request.user,
            )
        except FormulaRefusal as refusal:
            figures.add_error(None, str(refusal))
        else:
            messages.success(request, f"{saved} is saved.")
            return redirect(saved)
    elif not typed and not draft.is_draft:
        messages.error(request, f"{draft} stays as it is. Make a new revision to change it.")
        return redirect(draft)
    return _form_page(request, figures=figures, sections=sections, revision=draft)


def _seen_saves(request: StaffRequest) -> int:
    seen = request.POST.get("seen_saves", "")
    return int(seen) if seen.isdecimal() and len(seen) < 9 else -1


def _form_page(
    request: StaffRequest,
    *,
    figures: FiguresForm,
    sections: LineSections,
    name_form: FormulaNameForm | None = None,
    revision: FormulaRevision | None = None,
) -> HttpResponse:
    forms = [form for form in (name_form, figures) if form is not None]
    page = None
    if request.POST:
        page = _typed_page(request, figures, sections)
    elif revision is not None:
        page = revision_page(revision, workshop=request.workshop)
    context = {
        "name_form": name_form,
        "figures": figures,
        "sections": sections.sections,
        "revision": revision,
        "page": page,
        "faults": [] if page or not request.POST else sections.faults() + form_faults(*forms),
        "is_typed": True,
        "changed": page.changed_since(request.POST.get("was", "")) if page else set(),
    }
    if request.htmx:
        return render(request, "formulas/components/reckoning.html", context)
    return render(request, "formulas/revision_form.html", context | {"choices": material_choices()})


def _typed_page(request: StaffRequest, figures: FiguresForm, sections: LineSections) -> RevisionPage | None:
    """Work out what is typed, without saving anything. None while a box cannot be read."""
    if not all([figures.is_valid(), sections.is_valid()]):
        return None
    shown: FormulaRevision = figures.save(commit=False)
    if not shown.pk:
        shown.formula = Formula(name="")
    lines = [
        FormulaLine(material=draft.material, stage=draft.stage, percent=draft.percent) for draft in sections.drafts()
    ]
    reckoning = reckon_lines(
        shown,
        lines,
        oils_grams=ONE_KILOGRAM,
        least_superfat_percent=request.workshop.least_superfat_percent,
        lots={},
    )
    return typed_page(reckoning, lines, workshop=request.workshop)


@require_POST
def formula_revise(request: StaffRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Formula, pk=pk)
    form = ReviseForm(request.POST)
    try:
        if not form.is_valid():
            raise FormulaRefusal("Say in a few words why the formula changes (at most 300 letters).")
        draft = revise_formula(formula_id=found.pk, reason=form.cleaned_data["reason"], by=request.user)
    except FormulaRefusal as refusal:
        messages.error(request, str(refusal))
        return redirect(found)
    return redirect("formulas:revision-edit", pk=found.pk, number=draft.number)


@require_POST
def revision_approve(request: StaffRequest, pk: int, number: int) -> HttpResponse:
    draft = get_object_or_404(FormulaRevision.objects.for_page(), formula_id=pk, number=number)
    form = ApproveForm(request.POST)
    if form.is_valid():
        try:
            approved = approve_revision(
                revision_id=draft.pk, override_reason=form.cleaned_data["override_reason"], by=request.user
            )
        except FormulaRefusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"{approved} is approved. Batches can be made from it.")
            return redirect(approved)
    return _revision_page(request, draft, form)


@require_POST
def revision_retire(request: StaffRequest, pk: int, number: int) -> HttpResponse:
    shown = get_object_or_404(FormulaRevision, formula_id=pk, number=number)
    try:
        retired = retire_revision(revision_id=shown.pk, by=request.user)
    except FormulaRefusal as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, f"{retired} is retired.")
    return redirect(shown)


@require_GET
def revision_compare(request: StaffRequest, pk: int, number: int, other: int) -> HttpResponse:
    newer = get_object_or_404(FormulaRevision.objects.for_page(), formula_id=pk, number=number)
    older = get_object_or_404(FormulaRevision.objects.for_page(), formula_id=pk, number=other)
    comparison = compared_revisions(newer, older, workshop=request.workshop, on_date=timezone.localdate())
    context = {"comparison": comparison, "panels": panels_for("formulas.compare", comparison)}
    return render(request, "formulas/revision_compare.html", context)
