"""Small words for findings: figures without endless digits, names of a sane length."""

from decimal import ROUND_CEILING, Decimal

from formulas.chemistry.results import Finding

NAME_LENGTH = 80


def figure_text(figure: Decimal | int, places: int = 2) -> str:
    """Return a figure for reading: at most so many places, no trailing zeros, a real minus sign."""
    figure = Decimal(figure)
    if figure and not -6 <= figure.adjusted() <= 12:
        return f"{figure:.2E}"
    text = f"{figure:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    if text in {"-0", "0"}:
        return "0" if not figure else f"{figure:.1g}".replace("-", "−")
    return text.replace("-", "−")


def rounded_up(figure: Decimal, places: int = 1) -> Decimal:
    return figure.quantize(Decimal(1).scaleb(-places), rounding=ROUND_CEILING)


def name_text(name: object) -> str:
    text = "".join(sign if sign.isprintable() else "?" for sign in str(name)[: 2 * NAME_LENGTH]).strip()
    text = text or "This line"
    return text if len(text) <= NAME_LENGTH else f"{text[:NAME_LENGTH]}…"


def stop(code: str, text: str, mend: str = "") -> Finding:
    return Finding("stop", code, text, mend)


def ask(code: str, text: str, mend: str = "") -> Finding:
    return Finding("ask", code, text, mend)


def note(code: str, text: str, mend: str = "") -> Finding:
    return Finding("note", code, text, mend)
