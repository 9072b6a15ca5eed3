"""Settings that the papers or an accident will ask for, and that nobody has filled in yet."""

from dataclasses import dataclass

from soapshop.models import Workshop


@dataclass(frozen=True)
class Hint:
    text: str
    mend: str


def setting_hints(workshop: Workshop) -> tuple[Hint, ...]:
    """Return a hint for each gap, what lye asks for first."""
    found = []
    if not workshop.eyewash_place:
        found.append(Hint("No eyewash or tap is named.", "Tickets say where to rinse lye out of an eye."))
    if not workshop.emergency_number:
        found.append(Hint("No emergency number is noted.", "Tickets print it beside the lye step."))
    if not workshop.maker_name:
        found.append(Hint("The maker’s name is missing.", "No label can be printed without it."))
    if not workshop.address_lines:
        found.append(Hint("The maker’s address is missing.", "Labels need it."))
    return tuple(found)
