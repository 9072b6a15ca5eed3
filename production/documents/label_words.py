"""The blocks of words on a label, with the smallest size that the rules allow for each."""

import re
from dataclasses import dataclass

from production.documents.label_records import LabelFace, LabelLayout, LabelStock, LetterMeasure
from soapshop.typeface import Face, typeface

LARGEST_NAME_MM = 7.5
SMALLEST_NAME_MM = 2.1  # 6 point, a matter of looks
LARGEST_SMALL_PRINT_MM = 2.6  # on labels up to 45 mm high; larger ones grow with their height
SMALL_PRINT_SHARE = 0.058  # of the height


@dataclass(frozen=True, slots=True)
class Words:
    """One block of words before it is fitted."""

    role: str
    paragraphs: tuple[str, ...]
    faces: tuple[Face, ...]  # the first that fits is taken
    smallest_mm: float
    largest_mm: float
    most_lines: int = 99
    is_balanced: bool = True  # lines of like length; a long list runs to the full width instead


def net_weight_size_mm(face: LabelFace) -> float:
    """The smallest size at which the net weight reaches its legal height."""
    cut = typeface(Face.SEMIBOLD)
    is_figures = face.net_weight_measure is LetterMeasure.FIGURES
    height = cut.figures_height(face.net_weight) if is_figures else cut.letters_height(face.net_weight)
    return float(face.net_weight_min_mm) / height


def small_print_size_mm(text: str, min_mm: float) -> float:
    """The smallest size at which the letters of this text reach the given height."""
    return min_mm / typeface(Face.CONDENSED).letters_height(text)


def front_words(face: LabelFace, stock: LabelStock) -> list[Words]:
    name_mm = max(SMALLEST_NAME_MM, min(LARGEST_NAME_MM, float(stock.label_height_mm) * 0.17))
    bold, plain = (Face.SEMIBOLD, Face.CONDENSED_SEMIBOLD), (Face.REGULAR, Face.CONDENSED)
    least = small_print_size_mm("o", float(face.other_min_mm))
    candidates: tuple[tuple[str, str, tuple[Face, ...], float, float], ...] = (
        ("brand", face.brand, plain, least, name_mm * 0.5),
        ("product", face.product, bold, SMALLEST_NAME_MM, name_mm),
        ("identity", face.identity, plain, least, name_mm * 0.55),
        ("wording", face.wording, plain, least, name_mm * 0.5),
    )
    if face.layout == LabelLayout.FAVOR and face.wording:
        candidates = (
            ("wording", face.wording, bold, SMALLEST_NAME_MM, name_mm),
            ("product", face.product, plain, least, name_mm * 0.55),
            ("identity", face.identity, plain, least, name_mm * 0.5),
            ("brand", face.brand, plain, least, name_mm * 0.4),
        )
    if face.layout == LabelLayout.WORDS:
        largest = max(LARGEST_NAME_MM, float(stock.label_height_mm) * 0.25)
        candidates = (("wording", face.wording, bold, SMALLEST_NAME_MM, largest),)
    return [
        Words(role, (text,), faces, max(least, smallest), max(least, smallest, largest))
        for role, text, faces, smallest, largest in candidates
        if text
    ]


def net_weight_words(face: LabelFace) -> Words:
    size = net_weight_size_mm(face)
    text = re.sub(r"(\d) (oz|lb|g|kg)\b", "\\1\u00a0\\2", face.net_weight).replace("Net W", "Net\u00a0W")
    return Words("net-weight", (text,), (Face.SEMIBOLD, Face.CONDENSED_SEMIBOLD), size, size * 1.12, most_lines=2)


def small_print(face: LabelFace, stock: LabelStock) -> tuple[list[Words], list[Words]]:
    """Blocks at the top and at the foot of the small print."""
    least = small_print_size_mm("o", float(face.other_min_mm))
    list_mm = small_print_size_mm(face.ingredients, float(face.ingredients_min_mm))
    condensed = (Face.CONDENSED,)
    largest = max(LARGEST_SMALL_PRINT_MM, float(stock.label_height_mm) * SMALL_PRINT_SHARE)
    top = []
    if face.ingredients:
        sizes = (list_mm, max(list_mm, largest))
        top.append(Words("ingredients", (face.ingredients,), condensed, *sizes, is_balanced=False))
    if face.notes:
        top.append(Words("notes", face.notes, condensed, least, max(least, largest * 0.9)))
    lines = tuple(line for line in (*face.maker_lines, f"Batch {face.batch_number}", face.best_from) if line)
    foot = [Words("maker", lines, condensed, least, max(least, largest * 0.9))]
    return top, foot
