"""Fragrance allergens in the finished bar: every source added up, grouped, and set against the threshold.

The share is worked on the lowest cured mass, because drying raises it, and on the soap body without the parts set
onto it, if that gives more: a topper must never thin an allergen off the list.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal

from formulas.declaration.pots import Pots
from formulas.declaration.records import (
    AllergenLine,
    AllergenShare,
    DeclarationInput,
    DeclaredInput,
)
from formulas.label_rules.allergens import AllergenDates, AllergenRule, rules_by_name, same_name
from formulas.label_rules.problems import Problem
from formulas.label_rules.rulebook import LabelTables

ZERO = Decimal()
WHOLE = Decimal(100)
BINDING_ACTIONS = ("stop", "ask")


@dataclass
class _Found:
    """One list entry with what each material brings of it."""

    rule: AllergenRule
    grams: Decimal = ZERO
    body_grams: Decimal = ZERO
    sources: set[str] = field(default_factory=set)


@dataclass(frozen=True)
class AllergenMasses:
    whole_grams: Decimal  # lowest cured mass of all that the label covers
    body_grams: Decimal  # the same without the parts
    is_dry_bound: bool  # nobody said how low it goes: everything but water was taken


def allergen_lines(
    given: DeclarationInput, pots: Pots, masses: AllergenMasses, tables: LabelTables
) -> tuple[tuple[AllergenLine, ...], tuple[Problem, ...]]:
    """Return a line for every listed allergen there is, declared or not, and what stands in the way."""
    by_name = rules_by_name(tables.allergens)
    problems = list(_unknown_problems(given, tables))
    found: dict[str, _Found] = {}
    for source in sorted(given.inputs, key=lambda g: (g.material.casefold(), repr(g))):
        for leaf, share, grams in _shares(source, source.grams, by_name):
            rule = by_name.get(same_name(share.name))
            if rule is None:
                problems.append(_unlisted(leaf, share))
                continue
            entry = found.setdefault(rule.entry, _Found(rule))
            entry.grams += grams * share.share_percent / WHOLE
            if source.role != "part":
                entry.body_grams += grams * share.share_percent / WHOLE
            entry.sources.add(leaf.material)
    lines: list[AllergenLine] = []
    for entry in sorted(found.values(), key=lambda f: f.rule.name.casefold()):
        if not entry.grams:
            continue
        dates = tables.dates_for(given.market, entry.rule.list_name)
        line = _line(given, entry, masses, dates)
        problems += _entry_problems(given, entry.rule, line, dates, tables)
        if not entry.rule.is_prohibited:
            lines.append(line)
    if lines and masses.is_dry_bound:
        problems.append(_dry_bound())
    return tuple(lines), tuple(problems)


def _shares(
    given: DeclaredInput, grams: Decimal, by_name: dict[str, AllergenRule]
) -> Iterable[tuple[DeclaredInput, AllergenShare, Decimal]]:
    """Walk a material and what it is made of. An oil that is itself on the list counts as all of its own entry."""
    stated = given.allergens or ()
    for share in stated:
        yield given, share, grams
    own = next((by_name[k] for k in map(same_name, (given.names.eu, given.names.us)) if k in by_name), None)
    if own and own.entry not in {by_name[same_name(s.name)].entry for s in stated if same_name(s.name) in by_name}:
        yield given, AllergenShare(own.name, WHOLE), grams
    total = sum((component.grams for component in given.components), ZERO)
    for component in given.components:
        inside = grams * component.grams / total if total else grams / len(given.components)
        yield from _shares(component, inside, by_name)


def _line(given: DeclarationInput, entry: _Found, masses: AllergenMasses, dates: AllergenDates | None) -> AllergenLine:
    whole = WHOLE * entry.grams / masses.whole_grams if masses.whole_grams > 0 else ZERO
    body = WHOLE * entry.body_grams / masses.body_grams if masses.body_grams > 0 else ZERO
    uses_body = body > whole
    mass = masses.body_grams if uses_body else masses.whole_grams
    grams = entry.body_grams if uses_body else entry.grams
    threshold = dates.threshold_percent(is_leave_on=given.is_leave_on) if dates else ZERO
    is_binding = dates is not None and dates.action == "declare" and _is_in_force(given, dates)
    # Compared without a division, so that exactly the threshold is never taken for more.
    is_over = WHOLE * grams > threshold * mass
    if not is_binding:
        rule = f"not in force here on this day: {dates.source}" if dates else "no rule known"
    else:
        rule = f"over {threshold.normalize():f} percent" if is_over else f"not over {threshold.normalize():f} percent"
    return AllergenLine(
        name=entry.rule.name,
        percent=max(whole, body),
        threshold_percent=threshold,
        is_declared=is_binding and is_over,
        sources=tuple(sorted(entry.sources)),
        grams=grams,
        basis=_basis(mass, uses_body=uses_body, is_dry_bound=masses.is_dry_bound),
        rule=rule,
    )


def _basis(mass: Decimal, *, uses_body: bool, is_dry_bound: bool) -> str:
    words = ["all but the water" if is_dry_bound else "lowest cured mass", "without the parts"]
    return f"{', '.join(words[: 1 + uses_body])}: {round(mass, 3).normalize():f} g"


def _is_in_force(given: DeclarationInput, dates: AllergenDates) -> bool:
    return dates.is_in_force(on_date=given.on_date, first_placed_on=given.first_placed_on or given.on_date)


def _entry_problems(
    given: DeclarationInput,
    rule: AllergenRule,
    line: AllergenLine,
    dates: AllergenDates | None,
    tables: LabelTables,
) -> Iterable[Problem]:
    is_known = dates is not None and _is_in_force(given, dates)
    where = ", ".join(line.sources)
    if rule.is_prohibited and is_known and dates is not None and dates.action in BINDING_ACTIONS:
        yield Problem(
            "stop" if dates.action == "stop" else "ask",
            "prohibited_substance",
            f"{where} holds {rule.name}, which is prohibited ({rule.source}).",
            "Take this material out of the formula, or ask its supplier for a version without it.",
        )
    elif rule.is_prohibited:
        yield Problem(
            "note",
            "prohibited_elsewhere",
            f"{where} holds {rule.name}, which is prohibited in the European Union ({rule.source}).",
            "Do not sell these bars there.",
        )
    elif rule.most_percent is not None and is_known and line.percent > rule.most_percent:
        yield Problem(
            "stop",
            "allergen_over_limit",
            f"{rule.name} makes {line.percent:.4f} percent of the bar; at most {rule.most_percent} is allowed.",
            "Use less of the scent, or another one, and have the formula assessed again.",
        )
    elif rule.most_note and line.is_declared:
        yield Problem(
            "ask",
            "allergen_limit_unclear",
            f"{rule.name}: {rule.most_note}",
            "Ask the safety assessor which limit binds for this bar.",
        )


def _unknown_problems(given: DeclarationInput, tables: LabelTables) -> Iterable[Problem]:
    """Unknown is never absent: a scent without a statement stops the label where allergens must be named."""
    lists = [tables.dates_for(given.market, name) for name in ("older", "newer")]
    must_name = any(dates is not None and _is_in_force(given, dates) for dates in lists)
    for material, role in sorted(set(_without_statement(given.inputs))):
        level = "ask" if role == "botanical" else "stop"
        yield Problem(
            level if must_name else "note",  # type: ignore[arg-type]
            "unknown_allergens",
            f"The allergens of {material} are unknown. Unknown is not none.",
            "Enter the supplier's allergen statement, or enter that it states none.",
        )


def _without_statement(inputs: Iterable[DeclaredInput]) -> Iterable[tuple[str, str]]:
    for given in inputs:
        if not given.grams and not given.components:
            continue
        if given.role in ("scent", "botanical") and given.allergens is None and not given.components:
            yield given.material, given.role
        if given.allergens is None:
            yield from _without_statement(given.components)


def _unlisted(leaf: DeclaredInput, share: AllergenShare) -> Problem:
    return Problem(
        "ask",
        "allergen_not_listed",
        f"“{share.name}” in {leaf.material} is not a name on the allergen list.",
        "Check its spelling against the list; take it out if it is no listed allergen.",
    )


def _dry_bound() -> Problem:
    return Problem(
        "note",
        "lowest_mass_assumed",
        "No lowest cured weight was given, so the allergens were worked as if all water dried away.",
        "Weigh cured bars to get truer shares.",
    )
