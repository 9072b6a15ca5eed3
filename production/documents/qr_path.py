"""A QR code as one vector outline: prints sharp at any size and needs no picture file."""

from dataclasses import dataclass

from soapshop.paper import PaperRefused

QUIET_MODULES = 2  # the white page around does the rest; ISO/IEC 18004 asks for 4 in all
LONGEST_QR_BYTES = 300  # beyond this the dots get too fine for a phone at 20 mm


@dataclass(frozen=True, slots=True)
class QrPath:
    modules: int  # side of the square, quiet zone included
    path: str  # SVG path data of horizontal strokes, to be drawn one module wide


def qr_path(text: str) -> QrPath:
    """Return the code for a web address or a batch number; medium error correction."""
    if len(text.encode()) > LONGEST_QR_BYTES:
        raise PaperRefused(f"The text for the QR code is longer than {LONGEST_QR_BYTES} signs. Use a shorter address.")
    import segno  # here, because only papers need it

    matrix = segno.make(text, error="m", micro=False).matrix
    strokes = []
    for y, row in enumerate(matrix):
        x = 0
        while x < len(row):
            length = 1
            while x + length < len(row) and row[x + length] == row[x]:
                length += 1
            if row[x]:
                strokes.append(f"M{x + QUIET_MODULES} {y + QUIET_MODULES}.5h{length}")
            x += length
    return QrPath(modules=len(matrix) + 2 * QUIET_MODULES, path="".join(strokes))
