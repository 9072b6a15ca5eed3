"""What a view of the shop is handed: a request of somebody who is signed in."""

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec, cast

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse

from soapshop.models import User, Workshop

Params = ParamSpec("Params")


class StaffRequest(HttpRequest):
    """A request whose user is signed in; pages without a sign-in are the exception here."""

    user: User
    workshop: Workshop
    htmx: Any


def owner_only(
    view: Callable[Concatenate[StaffRequest, Params], HttpResponse],
) -> Callable[Concatenate[HttpRequest, Params], HttpResponse]:
    """Let owners alone use this view."""

    @wraps(view)
    def guarded(request: HttpRequest, *args: Params.args, **kwargs: Params.kwargs) -> HttpResponse:
        signed_in = cast(StaffRequest, request)
        if not signed_in.user.is_owner:
            raise PermissionDenied("Only an owner of the workshop may do this. Ask one of them, or sign in as one.")
        return view(signed_in, *args, **kwargs)

    return guarded
