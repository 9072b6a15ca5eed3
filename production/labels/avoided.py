"""What the bars hold, held against what those they are made for want left out: the last look before a label is printed.

Cautious words only: a bar is made without something, it is never called safe.
"""

from collections.abc import Iterable, Mapping
from typing import Any

from formulas.label_rules.problems import Problem
from orders.avoid import AvoidList, Ingredient, avoid_hits
from orders.models import Customer

MEND = (
    "Do not hand them over before you have asked. A question of health is one for a doctor. "
    "Write down what was answered."
)


def avoid_problems(
    served: Iterable[Any], made_of: frozenset[int], known: Mapping[int, Ingredient]
) -> Iterable[Problem]:
    """One question for each customer whose avoid-list meets these bars, whatever pot or part it came in by.

    `served` are rows of `served_lines()`.
    """
    held = {pk: known[pk] for pk in sorted(made_of) if pk in known}
    for customer, avoided in _wanted_by(served).items():
        names = tuple(held[pk].name for pk in avoided if pk in held)
        hits = avoid_hits(AvoidList(tuple(customer.avoid_groups), names), tuple(held.values()))
        if hits:
            found = ", ".join(sorted(f"{hit.ingredient} ({hit.because})" for hit in hits))
            yield Problem("ask", "avoided", f"{customer.name} wants left out what is in these bars: {found}.", MEND)


def _wanted_by(served: Iterable[Any]) -> dict[Customer, set[int]]:
    """The single materials each customer avoids; a line is read once for each of them."""
    wanted: dict[Customer, set[int]] = {}
    for row in served:
        avoided = wanted.setdefault(row.line.order.customer, set())
        if row.avoided_id is not None:
            avoided.add(row.avoided_id)
    return wanted
