from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from production.search.reads import search, tidy_words
from soapshop.requests import StaffRequest


@require_safe
def results(request: StaffRequest) -> HttpResponse:
    """Show what was found in groups; a code that fits just one thing leads straight to it."""
    found = search(tidy_words(request.GET.get("q", "")))
    if found.only_code:
        return redirect(found.only_code)
    return render(request, "production/search/search.html", {"found": found})
