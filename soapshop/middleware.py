"""What every page gets: a strict content policy, and the workshop whose time zone its moments are shown in."""

from collections.abc import Callable
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.functional import SimpleLazyObject

from soapshop.models import User, Workshop

CONTENT_POLICY = "; ".join(
    (
        "default-src 'self'",
        "img-src 'self' data:",
        "object-src 'none'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
        "form-action 'self'",
    )
)
# Only the bench page asks for anything: to keep the screen awake while hands are wet.
PERMISSIONS_POLICY = "camera=(), geolocation=(), microphone=(), payment=(), usb=(), screen-wake-lock=(self)"
PATH_WITHOUT_A_DATABASE = "/up"

Answer = Callable[[HttpRequest], HttpResponse]


class ContentPolicyMiddleware:
    """Nothing on a page comes from elsewhere, and no script or style stands inside the page."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", CONTENT_POLICY)
        response.headers.setdefault("Permissions-Policy", PERMISSIONS_POLICY)
        return response


class FirstOwnerMiddleware:
    """While the shop has no account, every page leads to the one that asks for the owner's."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response
        self.has_account = False

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if self._leads_away(request):
            return redirect("first-owner")
        return self.get_response(request)

    def _leads_away(self, request: HttpRequest) -> bool:
        if self.has_account or request.path in (PATH_WITHOUT_A_DATABASE, reverse("first-owner")):
            return False
        # Asked only until the answer is yes: accounts are switched off, never removed.
        self.has_account = request.user.is_authenticated or User.objects.exists()
        return not self.has_account


class WorkshopMiddleware:
    """Put the workshop's row on the request (read when first used) and switch on its time zone."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.workshop = SimpleLazyObject(Workshop.current)  # type: ignore[attr-defined]
        if request.path == PATH_WITHOUT_A_DATABASE:
            return self.get_response(request)
        with timezone.override(ZoneInfo(request.workshop.time_zone)):  # type: ignore[attr-defined]
            return self.get_response(request)
