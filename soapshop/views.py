"""Sign of life, the owner's first account, and the workshop's settings."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe


@login_not_required
@require_safe
def up(request: HttpRequest) -> HttpResponse:
    """Answer that the process lives, without touching the database."""
    return HttpResponse("up", content_type="text/plain; charset=utf-8")


def first_owner(request: HttpRequest) -> HttpResponse:
    return HttpResponse(status=404)


def workshop_settings(request: HttpRequest) -> HttpResponse:
    return HttpResponse(status=404)
