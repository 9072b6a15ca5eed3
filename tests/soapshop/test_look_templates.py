"""What no template may do: inline style or script, assets from elsewhere, more than 150 lines."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent
LONGEST_TEMPLATE = 150

FORBIDDEN = {
    "a style attribute": re.compile(r"<[^>]*\sstyle\s*=", re.I),
    "a style block": re.compile(r"<style\b", re.I),
    "a script inside the page": re.compile(r"<script\b(?![^>]*\bsrc\s*=)", re.I),
    "an event attribute": re.compile(r"<[^>]*\s(?:hx-)?on[a-z:-]+\s*=", re.I),
    "an htmx value that is run as a script": re.compile(r"hx-(?:vals|headers|vars)\s*=\s*[\"']\s*js(?:cript)?:", re.I),
    "a javascript address": re.compile(r"(?:href|src|action)\s*=\s*[\"']\s*javascript:", re.I),
    "an asset from elsewhere": re.compile(
        r"<(?:script|link|img|source|use|iframe)\b[^>]*\b(?:src|href)\s*=\s*[\"'](?:https?:)?//", re.I
    ),
}


def templates() -> list[Path]:
    apps = ("soapshop", "formulas", "orders", "production")
    return sorted(found for app in apps for found in (ROOT / app / "templates").rglob("*") if found.is_file())


def faults(text: str) -> list[str]:
    # Template tags hold quotes and comparison signs that would end an element too early.
    bare = re.sub(r"\{%.*?%\}|\{\{.*?\}\}|\{#.*?#\}", "", text, flags=re.S)
    return [name for name, pattern in FORBIDDEN.items() if pattern.search(bare)]


def test_there_are_templates_to_look_at():
    assert len(templates()) > 30


@pytest.mark.parametrize("path", templates(), ids=lambda path: str(path.relative_to(ROOT)))
def test_template_keeps_the_content_policy(path):
    assert faults(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("path", templates(), ids=lambda path: str(path.relative_to(ROOT)))
def test_template_is_short_enough_to_read(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST_TEMPLATE


@pytest.mark.parametrize(
    ("text", "expected"),
    (
        ('<p {% if a > b %}class="x"{% endif %} style="color:red">', ["a style attribute"]),
        ("<style>p{}</style>", ["a style block"]),
        ("<script>go()</script>", ["a script inside the page"]),
        ('<button onclick="go()">', ["an event attribute"]),
        ('<p hx-on:click="go()">', ["an event attribute"]),
        ('<p hx-vals="js:{a: 1}">', ["an htmx value that is run as a script"]),
        ('<a href="javascript:go()">', ["a javascript address"]),
        ('<script src="https://example.org/x.js"></script>', ["an asset from elsewhere"]),
        ('<script src="{% static "x.js" %}" defer></script>', []),
        ('<a href="https://example.org/">a link is no asset</a>', []),
        ('<p class="once" data-on="x">on = off</p>', []),
    ),
)
def test_the_look_out_sees_what_it_should(text, expected):
    assert faults(text) == expected


def test_style_sheets_fetch_nothing_from_elsewhere():
    sheets = sorted((ROOT / "soapshop/static/soapshop/css").glob("*.css"))
    outside = [
        sheet.name for sheet in sheets if re.search(r"(?:url\(|@import)\s*[\"']?(?:https?:)?//", sheet.read_text())
    ]
    assert (len(sheets) > 5, outside) == (True, [])


def test_every_font_of_the_style_sheet_is_served():
    from django.contrib.staticfiles import finders

    tokens = (ROOT / "soapshop/static/soapshop/css/tokens.css").read_text()
    fonts = re.findall(r'url\("\.\./\.\./(fonts/[^"]+)"\)', tokens)
    assert [font for font in fonts if not finders.find(font)] == []
    assert len(fonts) == 4
