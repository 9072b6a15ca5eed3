"""The door to paper: what it prints, what it refuses, and that it reaches for nothing outside."""

import io
import json
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pypdf
import pytest

from soapshop.paper import MAX_HTML_LETTERS, PaperRefused, install_line, is_paper_available, lay_out, render_pdf

ROOT = Path(__file__).resolve().parents[2]
CSS = ("@page { size: 200mm 100mm; margin: 5mm } html { font-family: Paper }",)
PAGE = '<!doctype html><html lang="en"><title>Rack card</title><h1>Rack card</h1><p>{}</p></html>'


def _pdf(words: str = "Cure to December", css: tuple[str, ...] = CSS) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(render_pdf(PAGE.format(words), stylesheets=css)))


def _run(code: str, **env: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, timeout=60, env={"PATH": "", **env}
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def test_pdf_is_tagged_with_language_and_title():
    reader = _pdf()
    catalog = reader.trailer["/Root"]
    assert catalog["/Lang"] == "en"
    assert catalog["/MarkInfo"]["/Marked"].value is True
    assert reader.metadata.title == "Rack card"
    assert b'pdfuaid:part="1"' in catalog["/Metadata"].get_data()


def test_pdf_asks_to_be_printed_unscaled():
    assert _pdf().trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_only_our_typeface_is_embedded():
    fonts = _pdf().pages[0]["/Resources"]["/Font"]
    names = {str(font.get_object()["/BaseFont"]).split("+")[-1].split("-")[0] for font in fonts.values()}
    assert names == {"Paper"}


def test_same_input_same_bytes():
    page = PAGE.format("Ready <b>Dec 23</b>")
    assert render_pdf(page, stylesheets=CSS) == render_pdf(page, stylesheets=CSS)


def test_same_bytes_in_another_process():
    page = PAGE.format("Ready Dec 23")
    code = (
        "import hashlib, sys; sys.path.insert(0, '.');"
        "from soapshop.paper import render_pdf;"
        f"print(hashlib.sha256(render_pdf({page!r}, stylesheets={CSS!r})).hexdigest())"
    )
    assert _run(code) == _run(code)


def test_threads_do_not_mix_their_papers():
    words = [f"Rack {number}" for number in range(12)]
    with ThreadPoolExecutor(4) as pool:
        texts = list(pool.map(lambda word: _pdf(word).pages[0].extract_text(), words))
    assert [text.split("\n")[-1] for text in texts] == words


@pytest.mark.parametrize(
    "tag",
    [
        '<img alt="" src="{}">',
        '<link rel="stylesheet" href="{}">',
        '<link rel="attachment" href="{}">',
        '<object data="{}"></object>',
        '<embed src="{}">',
        '<p style="background: url({})">x</p>',
        '<svg width="9" height="9"><title>x</title><image href="{}" width="9" height="9"/></svg>',
    ],
)
@pytest.mark.parametrize("kind", ["http", "file"])
def test_reference_is_refused_and_never_fetched(listener, tmp_path, tag, kind):
    port, calls = listener
    secret = tmp_path / "secret.txt"
    secret.write_text("kept in the drawer")
    url = f"http://127.0.0.1:{port}/x.png" if kind == "http" else secret.as_uri()
    with pytest.raises(PaperRefused, match="outside this program"):
        render_pdf(PAGE.format(tag.format(url)), stylesheets=CSS)
    assert calls == []


@pytest.mark.parametrize("rule", ["@import url({});", "@font-face {{ font-family: X; src: url({}) }}"])
def test_stylesheet_may_not_fetch_either(listener, rule):
    port, calls = listener
    css = rule.format(f"http://127.0.0.1:{port}/{len(rule)}")
    with pytest.raises(PaperRefused):
        render_pdf(PAGE.format("x"), stylesheets=(css,))
    assert calls == []


def test_no_file_outside_the_program_is_opened():
    """An audit hook sees each file that one paper opens once the program is loaded."""
    code = f"""
import json, sys; sys.path.insert(0, '.')
from soapshop.paper import render_pdf
page, css = {PAGE.format("Cure")!r}, {CSS!r}
render_pdf(page, stylesheets=css)
opened = []
sys.addaudithook(lambda event, args: opened.append(str(args[0])) if event in ("open", "socket.connect") else None)
render_pdf(page.replace("Cure", "Ready &lt;img src=/etc/hostname&gt;"), stylesheets=css)
print(json.dumps(opened))
"""
    opened = [path for path in json.loads(_run(code)) if not path.endswith((".py", ".pyc"))]
    assert opened == []


@pytest.mark.parametrize(
    ("letter", "named"),
    [
        ("🙂", "🙂 (U+1F642 slightly smiling face)"),
        ("א", "א (U+05D0 hebrew letter alef)"),
        ("\u202e", "(U+202E right-to-left override)"),
        ("\x07", "(U+0007)"),
    ],
)
def test_missing_letter_is_named_before_printing(letter, named):
    with pytest.raises(PaperRefused) as refusal:
        _pdf(f"Soap {letter}")
    assert str(refusal.value) == (
        f"The printed typeface has no sign for {named}. Write it another way, then print again."
    )


def test_latin_greek_cyrillic_and_common_signs_print():
    words = "Crème Straße Łódź αβγ Жук 38–43 °C ½ ¼ ± × µ € ® © ℮ ≥ → “soap”"
    assert _pdf(words).pages[0].extract_text().split("\n")[-1] == words


def test_page_without_language_is_refused():
    with pytest.raises(PaperRefused, match="did not come out whole"):
        render_pdf("<html><title>x</title><p>x</p></html>", stylesheets=CSS)


def test_oversize_paper_is_refused():
    with pytest.raises(PaperRefused, match="Print it in smaller parts"):
        render_pdf(PAGE.format("x" * MAX_HTML_LETTERS), stylesheets=CSS)


def test_too_many_pages_are_refused():
    words = '<div style="break-after: page">x</div>' * 81
    with pytest.raises(PaperRefused, match="82 pages; 80 is the most"):
        render_pdf(PAGE.format(words), stylesheets=CSS)


def test_layout_counts_its_pages():
    two = '<div style="break-after: page">x</div>y'
    assert [lay_out(PAGE.format(words), stylesheets=CSS).page_count for words in ("x", two)] == [1, 2]


def test_paper_is_available_here():
    assert is_paper_available()


def test_missing_library_is_said_with_the_line_that_installs_it():
    code = f"""
import sys; sys.path.insert(0, '.')
class NoPango:
    def find_spec(self, name, path=None, target=None):
        if name == "weasyprint":
            raise OSError("cannot load library 'libpango-1.0-0'")
sys.meta_path.insert(0, NoPango())
from soapshop.paper import PaperUnavailable, is_paper_available, render_pdf
assert not is_paper_available()
try:
    render_pdf({PAGE.format("x")!r}, stylesheets=())
except PaperUnavailable as refusal:
    print(refusal)
"""
    assert _run(code) == (
        f"Papers cannot be printed on this machine yet: the Pango library is missing. Install it with: {install_line()}"
    )


def test_machine_without_any_font_prints_with_ours(tmp_path):
    """Pango ends the whole process when it finds no font at all; ours is loaded first."""
    config = tmp_path / "fonts.conf"
    config.write_text(f"<fontconfig><cachedir>{tmp_path}</cachedir></fontconfig>")
    code = (
        "import sys; sys.path.insert(0, '.');"
        "from soapshop.paper import render_pdf;"
        f"print(render_pdf({PAGE.format('Cure')!r}, stylesheets={CSS!r})[:5].decode())"
    )
    assert _run(code, FONTCONFIG_FILE=str(config)) == "%PDF-"


def test_weasyprint_is_loaded_with_the_first_paper_only():
    code = "import sys; sys.path.insert(0, '.'); import soapshop.paper; print('weasyprint' in sys.modules)"
    assert _run(code) == "False"
