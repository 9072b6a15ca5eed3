"""The shop's addresses, one page with nothing on it, and the least that can be written: the floors of all else."""

from functools import cache
from typing import Any

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.template import engines
from django.urls import include, path
from django.views.decorators.http import require_POST

from soapshop.audit import note_event
from soapshop.models import User
from soapshop.requests import StaffRequest


@cache
def _template() -> Any:
    return engines["django"].from_string('{% extends "base.html" %}')


def empty_page(request: HttpRequest) -> HttpResponse:
    return HttpResponse(_template().render({}, request))


@require_POST
@transaction.atomic
def least_write(request: StaffRequest) -> HttpResponse:
    """Lock one row, change it and note it: what every verb of the shop does at the least."""
    person = User.objects.select_for_update().get(pk=request.user.pk)
    person.last_name = person.last_name
    person.save(update_fields=["last_name"])
    note_event(by=request.user, verb="measure", subject=person, text="Measured.")
    return redirect("benchmark-empty")


urlpatterns = [
    path("benchmark/write/", least_write, name="benchmark-write"),
    path("benchmark/empty/", empty_page, name="benchmark-empty"),
    path("", include("soapshop.urls")),
]
