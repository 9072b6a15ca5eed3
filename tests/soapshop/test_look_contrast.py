"""Ink on paper must be readable: contrast of the color tokens, in light, in dark and on paper.

Formula and thresholds: W3C, Web Content Accessibility Guidelines 2.2, definitions of relative luminance and contrast
ratio; success criteria 1.4.3 (text, 4.5 : 1) and 1.4.11 (borders of controls, 3 : 1).
"""

import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders

TEXT_ON_GROUND = (
    ("ink", "paper"),
    ("ink", "sheet"),
    ("ink", "sunk"),
    ("ink", "accent-wash"),
    ("ink", "danger-wash"),
    ("ink", "changed"),
    ("soft", "paper"),
    ("soft", "sheet"),
    ("soft", "sunk"),
    ("soft", "accent-wash"),
    ("soft", "changed"),
    ("accent", "paper"),
    ("accent", "sheet"),
    ("accent", "accent-wash"),
    ("accent", "danger-wash"),
    ("accent-deep", "paper"),
    ("on-accent", "accent"),
    ("on-accent", "accent-deep"),
    ("danger", "paper"),
    ("danger", "sheet"),
    ("danger", "accent-wash"),
    ("danger", "danger-wash"),
    ("on-danger", "danger"),
)
EDGE_ON_GROUND = (("edge", "paper"), ("edge", "sheet"), ("accent", "paper"), ("danger", "paper"))


def tokens(scheme: str) -> dict[str, str]:
    """Return the color tokens as the style sheet sets them for "light", "dark" or "print"."""
    sheet = Path(str(finders.find("soapshop/css/tokens.css"))).read_text(encoding="utf-8")
    blocks = {
        "light": re.search(r"^:root \{(.*?)^\}", sheet, re.S | re.M),
        "dark": re.search(r"@media \(prefers-color-scheme: dark\) \{(.*?)^\}", sheet, re.S | re.M),
        "print": re.search(r"@media print \{(.*?)^\}", sheet, re.S | re.M),
    }
    found = blocks[scheme]
    assert found, f"tokens.css has no block for {scheme}"
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", found.group(1)))


def luminance(color: str) -> float:
    channels = [int(color[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def too_faint(scheme: str, pairs: tuple[tuple[str, str], ...], least: float) -> list[str]:
    colors = tokens(scheme)
    return [
        f"{front} on {ground} is {contrast(colors[front], colors[ground]):.2f} : 1"
        for front, ground in pairs
        if contrast(colors[front], colors[ground]) < least
    ]


def test_the_formula_gives_the_ends_of_the_scale():
    # WCAG 2.2, definition of contrast ratio: "can range from 1 to 21".
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#4f585b", "#4f585b") == pytest.approx(1)


@pytest.mark.parametrize("scheme", ("light", "dark", "print"))
def test_text_is_readable(scheme):
    assert too_faint(scheme, TEXT_ON_GROUND, 4.5) == []


@pytest.mark.parametrize("scheme", ("light", "dark", "print"))
def test_edges_of_fields_and_the_focus_ring_are_seen(scheme):
    assert too_faint(scheme, EDGE_ON_GROUND, 3) == []


def test_a_rule_would_be_too_faint_for_text():
    # Negative control: the thin lines between rows are not made to be read, and the check says so.
    assert len(too_faint("light", (("rule", "paper"),), 4.5)) == 1


@pytest.mark.parametrize("scheme", ("dark", "print"))
def test_every_scheme_sets_the_same_colors(scheme):
    assert set(tokens(scheme)) == set(tokens("light"))


def test_paper_is_black_on_white():
    colors = tokens("print")
    assert (colors["ink"], colors["paper"]) == ("#000000", "#ffffff")
