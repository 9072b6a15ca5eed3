"""Sign of life, the owner's first account, and the workshop's settings."""

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from soapshop.actions import HasOwner, change_workshop, create_first_owner
from soapshop.forms import FirstOwnerForm, WorkshopForm
from soapshop.models import User, Workshop
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
