"""The one way a page does something: one action, its refusal back on the form, its message, the next page.

A form that is in order and an action that goes through lead on; else the page is shown again as it was typed::

    led_on = act_on(request, form, lambda: hold_lot(...), refusal=StockRefusal, done="On hold.", to=lot)
    return led_on or show(request, lot, hold_form=form)
"""

from collections.abc import Callable
from typing import Any, Protocol, TypeVar

from django.contrib import messages
from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

Done = TypeVar("Done")


class HasPage(Protocol):
    def get_absolute_url(self) -> str: ...


Place = str | HasPage | None
Refusal = type[Exception] | tuple[type[Exception], ...]


def act_on(
    request: HttpRequest,
    form: BaseForm,
    act: Callable[[], Done],
    *,
    refusal: Refusal,
    done: str | Callable[[Done], str] = "",
    to: Place = None,
) -> HttpResponse | None:
    """Do the action of a form; return the way on, or None when the form now carries what it refuses.

    ``to`` left out leads to what the action returned.
    """
    if not form.is_valid():
        return None
    try:
        result = act()
    except refusal as said:
        form.add_error(None, str(said))
        return None
    return _lead_on(request, result, done, to)


def press(
    request: HttpRequest,
    act: Callable[[], Done],
    *,
    refusal: Refusal,
    done: str | Callable[[Done], str] = "",
    to: Place = None,
) -> HttpResponse:
    """Do the action of a button that has no boxes; what it refuses is said on the next page."""
    try:
        result = act()
    except refusal as said:
        if to is None:
            raise TypeError("A button that may be refused names the page it leads to.") from said
        messages.error(request, str(said))
        return redirect(to)
    return _lead_on(request, result, done, to)


def _lead_on(request: HttpRequest, result: Any, done: str | Callable[[Any], str], to: Place) -> HttpResponse:
    words = done(result) if callable(done) else done
    if words:
        messages.success(request, words)
    return redirect(result if to is None else to)
