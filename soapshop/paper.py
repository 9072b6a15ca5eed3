"""HTML to PDF behind one locked door: own fonts, own styles, nothing fetched, the same bytes for the same input.

User text reaches a paper only through auto-escaped templates. WeasyPrint is imported with the first paper
(about half a second and 25 MB), so that pages and commands without one stay light.
"""

import logging
import sys
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from soapshop.typeface import Face, TypefaceMissing, font_path, letter_name, missing_letters

MAX_HTML_LETTERS = 1_500_000  # a full sheet of 30 labels has about 60,000
MAX_PAGES = 80
MAX_PICTURE_BYTES = 2_000_000  # a kept photo has at most half as many
JPEG_START = b"\xff\xd8\xff"  # ISO/IEC 10918-1, start of image and the next marker
PDF_OPTIONS = {"pdf_variant": "pdf/ua-1"}
FAMILY_REGULAR = "Paper"
FAMILY_CONDENSED = "Paper Condensed"
# family, weight in CSS
FONT_FACES: dict[Face, tuple[str, int]] = {
    Face.REGULAR: (FAMILY_REGULAR, 400),
    Face.SEMIBOLD: (FAMILY_REGULAR, 600),
    Face.CONDENSED: (FAMILY_CONDENSED, 400),
    Face.CONDENSED_SEMIBOLD: (FAMILY_CONDENSED, 600),
}
INSTALL_LINES = {
    "linux": "sudo apt-get install -y libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0",
    "darwin": "brew install pango",
    "win32": "pacman -S mingw-w64-x86_64-pango (in the MSYS2 shell)",
}


class PaperError(Exception):
    """A paper cannot be printed; the message is for people."""


class PaperUnavailable(PaperError):
    """This machine lacks what printing needs."""


class PaperRefused(PaperError):
    """These words or this layout cannot be put on paper."""


@dataclass(frozen=True, slots=True)
class _Press:
    """WeasyPrint with our fonts loaded, shared by all threads."""

    weasyprint: Any
    fetcher_class: Any
    font_config: Any
    font_css: Any


_press_lock = threading.Lock()
_press: list[_Press] = []  # empty until the first paper


class _Complaints(logging.Handler):
    """What WeasyPrint could not do for this thread."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.thread = threading.get_ident()
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        if record.thread == self.thread and (record.levelno >= logging.ERROR or "notdef" in record.getMessage()):
            self.lines.append(record.getMessage())

    def __enter__(self) -> "_Complaints":
        logging.getLogger("weasyprint").addHandler(self)
        return self

    def __exit__(self, *exception: object) -> None:
        logging.getLogger("weasyprint").removeHandler(self)


def install_line() -> str:
    """What to type so that papers can be printed on this machine."""
    return INSTALL_LINES.get(sys.platform, INSTALL_LINES["linux"])


def _import_weasyprint() -> Any:
    try:
        import weasyprint
    except (ImportError, OSError) as missing:
        raise PaperUnavailable(
            "Papers cannot be printed on this machine yet: the Pango library is missing. "
            f"Install it with: {install_line()}"
        ) from missing
    return weasyprint


def _own_assets_fetcher(weasyprint: Any) -> Any:
    """A fetcher class that knows our fonts and the pictures handed to it by name, and refuses and notes all else."""
    assets = {f"static:{face.value}": font_path(face) for face in FONT_FACES}

    class OwnAssets(weasyprint.urls.URLFetcher):
        def __init__(self, pictures: Mapping[str, bytes] = MappingProxyType({})) -> None:
            super().__init__(allowed_protocols=frozenset(), allow_redirects=False)
            self.refused: list[str] = []
            self.pictures = {f"picture:{name}": jpeg for name, jpeg in pictures.items()}

        def fetch(self, url: str, headers: dict[str, str] | None = None) -> Any:
            if url in self.pictures:
                return weasyprint.urls.URLFetcherResponse(url, self.pictures[url], {"Content-Type": "image/jpeg"})
            path = assets.get(url)
            if path is None:
                self.refused.append(url)
                raise ValueError("This is not one of our own assets.")
            return weasyprint.urls.URLFetcherResponse(url, path.read_bytes(), {"Content-Type": "font/ttf"})

    return OwnAssets


def _font_face_rules() -> str:
    return "\n".join(
        f'@font-face {{ font-family: "{family}"; font-weight: {weight}; src: url(static:{face.value}) }}'
        for face, (family, weight) in FONT_FACES.items()
    )


def _set_up_press() -> _Press:
    weasyprint = _import_weasyprint()
    from weasyprint.text.fonts import FontConfiguration

    try:
        fetcher_class = _own_assets_fetcher(weasyprint)
    except TypefaceMissing as missing:
        raise PaperUnavailable(str(missing)) from missing
    font_config = FontConfiguration()
    fetcher = fetcher_class()
    failed = _FontFailures()
    with failed:
        font_css = weasyprint.CSS(string=_font_face_rules(), url_fetcher=fetcher, font_config=font_config)
    if failed.lines or fetcher.refused:
        # Printing without any font ends the whole process inside Pango, so nothing is tried.
        raise PaperUnavailable(
            "Papers cannot be printed: the typefaces could not be loaded. "
            "Check that the temporary folder can be written to."
        )
    return _Press(weasyprint, fetcher_class, font_config, font_css)


class _FontFailures(_Complaints):
    def emit(self, record: logging.LogRecord) -> None:
        if record.thread == self.thread:
            self.lines.append(record.getMessage())


def _ready_press() -> _Press:
    with _press_lock:
        if not _press:
            _press.append(_set_up_press())
        return _press[0]


@lru_cache(maxsize=64)
def _parsed_css(css: str) -> Any:
    press = _ready_press()
    fetcher = press.fetcher_class()
    parsed = press.weasyprint.CSS(string=css, url_fetcher=fetcher, font_config=press.font_config)
    _refuse_fetched(fetcher.refused)
    return parsed


def is_paper_available() -> bool:
    """Whether this machine can print; loads WeasyPrint to find out."""
    try:
        _ready_press()
    except PaperUnavailable:
        return False
    return True


def _refuse_fetched(refused: list[str]) -> None:
    if refused:
        raise PaperRefused(
            f"The paper asked for something outside this program ({refused[0][:80]}), so it was not printed. "
            "Report this layout to whoever looks after the program."
        )


def _refuse_unprintable(html: str) -> None:
    if len(html) > MAX_HTML_LETTERS:
        raise PaperRefused(f"This paper has {len(html):,} letters, more than it can hold. Print it in smaller parts.")
    if missing := missing_letters("".join(sorted(set(html)))):
        raise PaperRefused(missing_letters_sentence(missing))


def _refuse_pictures(pictures: Mapping[str, bytes]) -> None:
    """Only JPEGs are drawn: a drawing in words, such as SVG, could name other files and addresses."""
    if sum(map(len, pictures.values())) > MAX_PICTURE_BYTES:
        raise PaperRefused("The pictures of this paper are too large. Take smaller ones, then print again.")
    if not all(jpeg.startswith(JPEG_START) for jpeg in pictures.values()):
        raise PaperRefused("A picture of this paper is no photo, so it was not printed. Keep it once more.")


def missing_letters_sentence(missing: tuple[str, ...]) -> str:
    """The refusal that names each letter the typeface lacks."""
    named = ", ".join(letter_name(letter) for letter in missing[:6])
    more = f" and {len(missing) - 6} more" if len(missing) > 6 else ""
    return f"The printed typeface has no sign for {named}{more}. Write it another way, then print again."


@dataclass(frozen=True, slots=True)
class Sheet:
    """What a paper is laid out from."""

    html: str
    stylesheets: tuple[str, ...]


_watched: ContextVar[list[Sheet] | None] = ContextVar("watched", default=None)


@contextmanager
def watched_layouts() -> Iterator[list[Sheet]]:
    """Collect what is laid out meanwhile, so that the benchmark can render the same without this module."""
    sheets: list[Sheet] = []
    before = _watched.set(sheets)
    try:
        yield sheets
    finally:
        _watched.reset(before)


@dataclass(frozen=True, slots=True)
class Layout:
    """Pages that are laid out but not yet written, so that a paper can choose between arrangements."""

    page_count: int
    _document: Any
    _fetcher: Any

    def pdf(self) -> bytes:
        """Tagged PDF/UA-1 that asks viewers to print at true size. Raises PaperRefused if anything was left out."""
        with _Complaints() as complaints:
            pdf: bytes = self._document.write_pdf(finisher=_print_unscaled, **PDF_OPTIONS)
        _refuse_fetched(self._fetcher.refused)
        _refuse_incomplete(complaints.lines)
        return pdf


def lay_out(html: str, *, stylesheets: tuple[str, ...], pictures: Mapping[str, bytes] = MappingProxyType({})) -> Layout:
    """Lay the page out. The HTML needs `lang` and a title; stylesheets are CSS texts of our own, parsed once.

    `pictures` are JPEGs that the page names as `picture:NAME`: handed over as bytes, never read from a disk.
    Raises PaperRefused for letters without a glyph, for anything that had to be fetched, and for oversize papers.
    """
    if (watched := _watched.get()) is not None:
        watched.append(Sheet(html, stylesheets))
    _refuse_unprintable(html)
    _refuse_pictures(pictures)
    press = _ready_press()
    fetcher = press.fetcher_class(pictures)
    css = [press.font_css, *(_parsed_css(text) for text in stylesheets)]
    with _Complaints() as complaints:
        source = press.weasyprint.HTML(string=html, url_fetcher=fetcher)
        document = source.render(stylesheets=css, font_config=press.font_config, **PDF_OPTIONS)
    _refuse_fetched(fetcher.refused)
    _refuse_incomplete(complaints.lines)
    pages = len(document.pages)
    if pages > MAX_PAGES:
        raise PaperRefused(f"This paper would need {pages} pages; {MAX_PAGES} is the most. Print it in smaller parts.")
    return Layout(pages, document, fetcher)


def render_pdf(
    html: str, *, stylesheets: tuple[str, ...], pictures: Mapping[str, bytes] = MappingProxyType({})
) -> bytes:
    """Lay out and write in one go, see `lay_out`."""
    return lay_out(html, stylesheets=stylesheets, pictures=pictures).pdf()


def _refuse_incomplete(complaints: list[str]) -> None:
    if complaints:
        raise PaperRefused(f"The paper did not come out whole ({complaints[0][:160]}), so it was not printed.")


def _print_unscaled(_document: Any, pdf: Any) -> None:
    """Labels shift when a viewer shrinks the page to fit."""
    pdf.catalog["ViewerPreferences"]["PrintScaling"] = "/None"
