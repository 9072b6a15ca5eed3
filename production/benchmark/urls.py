"""The shop's addresses, and one page with nothing on it: the floor that all pages are held against."""

from functools import cache
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.template import engines
from django.urls import include, path


@cache
def _template() -> Any:
    return engines["django"].from_string('{% extends "base.html" %}')


def empty_page(request: HttpRequest) -> HttpResponse:
    return HttpResponse(_template().render({}, request))


urlpatterns = [
    path("benchmark/empty/", empty_page, name="benchmark-empty"),
    path("", include("soapshop.urls")),
]
