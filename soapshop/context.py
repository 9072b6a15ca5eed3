"""What the base template shows on every page."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest

from soapshop.navigation import SHELVES, WORK, links


def workshop_page(request: HttpRequest) -> dict[str, Any]:
    """Give templates `workshop`, the two rows of the navigation, and whether this is the demo."""
    return {
        "workshop": getattr(request, "workshop", None),
        "navigation_work": links(WORK, path=request.path),
        "navigation_shelves": links(SHELVES, path=request.path),
        "is_demo": settings.DEMO,
    }
