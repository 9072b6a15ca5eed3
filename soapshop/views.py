"""Sign of life, the owner's first account, the workshop's settings, and its people."""

from django.contrib import messages
from django.contrib.auth import login, update_session_auth_hash
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from soapshop.actions import (
    HasOwner,
    PeopleRefusal,
    add_person,
    change_own_password,
    change_person,
    change_workshop,
    close_account,
    create_first_owner,
    reopen_account,
    reset_password,
)
from soapshop.forms import FirstOwnerForm, WorkshopForm
from soapshop.models import User, Workshop
from soapshop.people_forms import HandedPasswordForm, NewPersonForm, OwnPasswordForm, PersonForm
from soapshop.requests import StaffRequest, owner_only


@login_not_required
@require_safe
def up(request: HttpRequest) -> HttpResponse:
    """Answer that the process lives, without touching the database."""
    return HttpResponse("up", content_type="text/plain; charset=utf-8")


@login_not_required
@require_http_methods(["GET", "POST"])
def first_owner(request: HttpRequest) -> HttpResponse:
    """Ask for the owner's account; there is such a page only while the shop has no account."""
    if User.objects.exists():
        return redirect("login")
    form = FirstOwnerForm(request.POST or None)
    if form.is_valid():
        asked = form.cleaned_data
        try:
            owner = create_first_owner(
                username=asked["username"],
                password=asked["password1"],
                first_name=asked["first_name"],
                workshop_name=asked["workshop_name"],
                time_zone=asked["time_zone"],
            )
        except HasOwner as refusal:
            messages.error(request, str(refusal))
            return redirect("login")
        login(request, owner)
        messages.success(request, "The shop is open. Look through its settings first.")
        return redirect("workshop-settings")
    return render(request, "soapshop/first_owner.html", {"form": form}, status=422 if form.is_bound else 200)


@owner_only
@require_http_methods(["GET", "POST"])
def workshop_settings(request: StaffRequest) -> HttpResponse:
    form = WorkshopForm(request.POST or None, instance=Workshop.current())
    if form.is_valid():
        try:
            change_workshop(wanted=form.cleaned_data, by=request.user)
        except ValidationError as refusal:
            form.add_error(None, refusal)
        else:
            messages.success(request, "The settings are saved.")
            return redirect("workshop-settings")
    return render(request, "soapshop/workshop_settings.html", {"form": form}, status=422 if form.is_bound else 200)


@require_safe
def people(request: HttpRequest) -> HttpResponse:
    """Who works here: open accounts first."""
    return render(request, "soapshop/people.html", {"people": User.objects.order_by("-is_active", "first_name", "pk")})


@owner_only
@require_http_methods(["GET", "POST"])
@never_cache
def person_new(request: StaffRequest) -> HttpResponse:
    form = NewPersonForm(request.POST or None)
    if form.is_valid():
        try:
            person = add_person(**form.cleaned_data, by=request.user)
        except PeopleRefusal as refusal:
            form.add_error("username", str(refusal))
        else:
            messages.success(request, f"{person.display_name} can sign in as {person.username}. Pass the password on.")
            return redirect("people")
    return render(request, "soapshop/person_form.html", {"form": form}, status=422 if form.is_bound else 200)


@owner_only
@require_http_methods(["GET", "POST"])
def person_edit(request: StaffRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(User, pk=pk)
    kept = {name: getattr(person, name) for name in ("first_name", "last_name", "role")}
    form = PersonForm(request.POST or None, initial=kept)
    if form.is_valid():
        try:
            person = change_person(person_id=pk, wanted=form.cleaned_data, by=request.user)
        except PeopleRefusal as refusal:
            form.add_error("role", str(refusal))
        else:
            messages.success(request, f"The account of {person.display_name} is saved.")
            return redirect("people")
    context = {"form": form, "person": person}
    return render(request, "soapshop/person_form.html", context, status=422 if form.is_bound else 200)


@owner_only
@require_http_methods(["GET", "POST"])
@never_cache
@sensitive_post_parameters()
def person_password(request: StaffRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(User, pk=pk)
    form = HandedPasswordForm(request.POST or None, person=person)
    if form.is_valid():
        reset_password(person_id=pk, password=form.cleaned_data["password"], by=request.user)
        messages.success(request, f"{person.display_name} has a new password. Pass it on.")
        return redirect("people")
    context = {"form": form, "person": person}
    return render(request, "soapshop/person_password.html", context, status=422 if form.is_bound else 200)


@owner_only
@require_POST
def person_close(request: StaffRequest, pk: int) -> HttpResponse:
    """Close an open account, or open a closed one again."""
    get_object_or_404(User, pk=pk)
    act = reopen_account if "reopen" in request.POST else close_account
    try:
        person = act(person_id=pk, by=request.user)
    except PeopleRefusal as refusal:
        messages.error(request, str(refusal))
        return redirect("person-edit", pk)
    messages.success(request, f"The account of {person.display_name} is {'open' if person.is_active else 'closed'}.")
    return redirect("people")


@require_http_methods(["GET", "POST"])
@never_cache
@sensitive_post_parameters()
def own_password(request: StaffRequest) -> HttpResponse:
    """Let a person change their own password; they stay signed in here, and nowhere else."""
    form = OwnPasswordForm(request.user, request.POST or None)
    if form.is_valid():
        person = change_own_password(person_id=request.user.pk, password=form.cleaned_data["new_password1"])
        update_session_auth_hash(request, person)
        messages.success(request, "Your password is changed.")
        return redirect("people")
    return render(request, "soapshop/own_password.html", {"form": form}, status=422 if form.is_bound else 200)
