"""Hints that `manage.py check` and every start print: what this machine still lacks, and the line that mends it."""

from typing import Any

from django.core.checks import CheckMessage, Warning, register

from soapshop.bootstrap.libraries import line_to_type, missing_packages


@register("papers")
def papers_can_be_drawn(app_configs: Any, **kwargs: Any) -> list[CheckMessage]:
    missing = missing_packages()
    if not missing:
        return []
    return [
        Warning(
            "PDF papers cannot be drawn well here: some system libraries or a font are missing.",
            hint=f"Type: {line_to_type(missing)}",
            id="soapshop.W001",
        )
    ]
