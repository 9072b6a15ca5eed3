"""The ingredient list of a label, worked out from what was really weighed.

Two styles, never mixed: as added names what went in, with the lye and all the water; as resulting names what came of
it, with the salts, the glycerin formed, the oils left over and the water that stays after cure.
"""

from collections.abc import Iterable
from decimal import Decimal

from formulas.declaration import checks
from formulas.declaration.allergens import AllergenMasses, allergen_lines
from formulas.declaration.names import NameBook
from formulas.declaration.ordering import Amount, ordered_entries
from formulas.declaration.pots import Pots, open_pots
from formulas.declaration.reaction import Product, Reaction, react
from formulas.declaration.records import (
    Balance,
    BalanceLine,
    Declaration,
    DeclarationError,
    DeclarationInput,
    DeclaredInput,
)
from formulas.label_rules.problems import Problem
from formulas.label_rules.rulebook import LabelTables

ZERO = Decimal()
LEVELS = {"stop": 0, "ask": 1, "note": 2}


def build_declaration(given: DeclarationInput, tables: LabelTables) -> Declaration:
    """Return the list with its working and its problems. Raises only for what cannot be worked at all."""
    pots = open_pots(given.inputs)
    if not pots.leaves:
        raise DeclarationError("Nothing was weighed, so there is no list. Enter the materials first.")
    rules = tables.rule_set(given.market, given.on_date)
    names = NameBook(rules, tables)
    reactions = tuple(react(pot) for pot in pots.all)
    body = reactions[0] if pots.body else Reaction((), ZERO, None)
    total = sum((leaf.grams for leaf in pots.leaves), ZERO)
    dry = sum((reaction.dry_grams for reaction in reactions), ZERO)
    if given.style == "as_added":
        basis, amounts = total, list(_added(pots.leaves, names))
        lines_out = tuple(BalanceLine(amount.name, amount.grams, amount.material) for amount in amounts)
    else:
        cured = given.cured_mass_grams if given.cured_mass_grams is not None else total
        left = min(max(cured - dry, ZERO), total - dry)
        basis = dry + left
        amounts = [*_resulting(reactions, names), Amount(names.word("water"), left, "water left after cure")]
        lines_out = _lines_out(reactions, names, left, total - dry - left)
    lines, allergen_problems = allergen_lines(given, pots, _masses(given, body, dry, pots), tables)
    entries = ordered_entries(amounts, lines, rules, basis)
    problems = [
        *pots.problems,
        *checks.lye_problems(pots, body, reactions),
        *(checks.fat_problems(pots) if given.style == "as_resulting" else ()),
        *checks.mass_problems(given, total, dry),
        *names.problems.values(),
        *checks.color_problems(given, pots.leaves, tables),
        *allergen_problems,
        *checks.input_problems(given, pots),
    ]
    return Declaration(
        heading=names.word("heading"),
        text=", ".join(entry.name for entry in entries),
        entries=entries,
        allergens=lines,
        balance=Balance(_lines_in(pots.leaves), lines_out),
        problems=_in_order(problems),
        market=given.market,
        style=given.style,
        rule_set=rules,
        saponified_fraction=body.saponified_fraction,
        basis_grams=basis,
    )


def _in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """The gravest first, each once, and the same order whatever order things were entered in."""
    return tuple(sorted(set(problems), key=lambda p: (LEVELS[p.level], p.code, p.text, p.mend)))


def _masses(given: DeclarationInput, body: Reaction, dry_grams: Decimal, pots: Pots) -> AllergenMasses:
    lowest = given.lowest_cured_mass_grams
    if lowest is None:
        return AllergenMasses(dry_grams, body.dry_grams, is_dry_bound=True)
    part_grams = sum((leaf.grams for part in pots.parts for leaf in part), ZERO)
    return AllergenMasses(lowest, max(lowest - part_grams, ZERO), is_dry_bound=False)


def _added(leaves: Iterable[DeclaredInput], names: NameBook) -> Iterable[Amount]:
    for leaf in leaves:
        if leaf.role == "alkali":
            water = leaf.grams * leaf.water_fraction
            yield Amount(names.material(leaf), leaf.grams - water, leaf.material)
            if water:
                yield Amount(names.word("water"), water, leaf.material)
        else:
            yield _kept(leaf, leaf.grams, names)


def _kept(leaf: DeclaredInput, grams: Decimal, names: NameBook) -> Amount:
    if leaf.role == "colorant":
        return Amount(names.color(leaf), grams, leaf.material, is_color=True)
    name = names.scent(leaf) if leaf.role == "scent" else names.material(leaf)
    return Amount(name, grams, leaf.material)


def _resulting(reactions: Iterable[Reaction], names: NameBook) -> Iterable[Amount]:
    for product in (product for reaction in reactions for product in reaction.products):
        if product.kind != "unlisted":
            yield _amount(product, names)


def _amount(product: Product, names: NameBook) -> Amount:
    source = product.source
    if product.kind in ("soap", "salt"):
        return Amount(names.soap(source, product.alkali_kind), product.grams, source.material)
    if product.kind == "glycerin":
        return Amount(names.word("glycerin"), product.grams, source.material)
    return _kept(source, product.grams, names)


def _lines_in(leaves: Iterable[DeclaredInput]) -> tuple[BalanceLine, ...]:
    return tuple(BalanceLine(leaf.material, leaf.grams, leaf.role) for leaf in leaves)


def _lines_out(
    reactions: Iterable[Reaction], names: NameBook, left_grams: Decimal, dried_grams: Decimal
) -> tuple[BalanceLine, ...]:
    lines = [
        BalanceLine(
            f"{product.source.material}: not listed" if product.kind == "unlisted" else _amount(product, names).name,
            product.grams,
            product.working,
        )
        for reaction in reactions
        for product in reaction.products
    ]
    lines.append(BalanceLine(names.word("water"), left_grams, "left after cure"))
    lines.append(BalanceLine("water dried away", dried_grams, "weight in less weight after cure"))
    return tuple(lines)
