"""One formula in another size, and shares that still add up after rounding."""

from dataclasses import replace
from decimal import ROUND_FLOOR, Context, Decimal, localcontext

from formulas.chemistry.records import FormulaError, FormulaSpec

PRECISE = Context(prec=40)


def scale_spec(spec: FormulaSpec, factor: Decimal) -> FormulaSpec:
    """Return the same formula with every gram times the factor; shares, ranges and the liquid rule stay."""
    if factor <= 0:
        raise FormulaError("A batch cannot shrink to nothing. Scale by a number above zero.")
    with localcontext(PRECISE):
        return replace(
            spec,
            fats=tuple(replace(fat, grams=fat.grams * factor) for fat in spec.fats),
            alkalis=tuple(
                alkali if alkali.grams is None else replace(alkali, grams=alkali.grams * factor)
                for alkali in spec.alkalis
            ),
            additives=tuple(replace(additive, grams=additive.grams * factor) for additive in spec.additives),
        )


def rounded_shares(parts: tuple[Decimal, ...], *, places: int, whole: Decimal = Decimal(1)) -> tuple[Decimal, ...]:
    """Return parts as shares of the whole (1, or 100 for percent), rounded so that they add up to it exactly.

    Every share is rounded down; the steps still missing go to the largest remainders.
    """
    total = sum(parts, Decimal(0))
    if total <= 0 or any(part < 0 for part in parts):
        raise FormulaError("Shares need parts above zero. Check the grams.")
    step = Decimal(1).scaleb(-places)
    with localcontext(PRECISE):
        exact = [part * whole / total for part in parts]
        shares = [share.quantize(step, rounding=ROUND_FLOOR) for share in exact]
        missing = int((whole - sum(shares, Decimal(0))) / step)
        by_remainder = sorted(range(len(exact)), key=lambda place: exact[place] - shares[place], reverse=True)
        for place in by_remainder[:missing]:
            shares[place] += step
    return tuple(shares)
