"""The fragrance allergens: which names there are, which substances each covers, and from when each list binds."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal

from formulas.label_rules.rows import day_or_none, list_of, number_or_none, rows_of

ListName = Literal["older", "newer", "prohibited"]


@dataclass(frozen=True)
class AllergenRule:
    """One entry of the list. A grouped entry prints one name for all the names it covers."""

    entry: str
    name: str
    list_name: ListName
    covered_names: tuple[str, ...] = ()
    cas_numbers: tuple[str, ...] = ()
    kind: str = "substance"
    most_percent: Decimal | None = None  # highest share of the finished product that the entry allows
    most_note: str = ""
    purity_condition: str = ""
    note: str = ""
    status: str = ""
    source: str = ""

    @property
    def is_prohibited(self) -> bool:
        return self.list_name == "prohibited"


@dataclass(frozen=True)
class AllergenDates:
    """From when one list binds in one market, and the share that must be exceeded. No day: not in force."""

    market: str
    list_name: ListName
    action: Literal["declare", "stop", "ask"]
    rinse_off_percent: Decimal | None
    leave_on_percent: Decimal | None
    new_goods_from: date | None
    existing_goods_from: date | None
    source: str
    note: str = ""

    def is_in_force(self, *, on_date: date, first_placed_on: date) -> bool:
        """Goods first placed before the new-goods day have until the existing-goods day."""
        if self.new_goods_from is None or self.existing_goods_from is None:
            return False
        starts = self.new_goods_from if first_placed_on >= self.new_goods_from else self.existing_goods_from
        return on_date >= starts

    def threshold_percent(self, *, is_leave_on: bool) -> Decimal:
        return (self.leave_on_percent if is_leave_on else self.rinse_off_percent) or Decimal()


def packaged_allergens() -> tuple[AllergenRule, ...]:
    """Read the packaged list: 24 older names, 57 newer ones and 2 that are prohibited now."""
    return tuple(
        AllergenRule(
            entry=row["entry"],
            name=row["name"],
            list_name=row["list"],  # type: ignore[arg-type]
            covered_names=list_of(row["covered_names"]),
            cas_numbers=list_of(row["cas_numbers"]),
            kind=row["kind"],
            most_percent=number_or_none(row["most_percent"]),
            most_note=row["most_note"],
            purity_condition=row["purity_condition"],
            note=row["note"],
            status=row["status"],
            source=row["source"],
        )
        for row in rows_of("allergens")
    )


def packaged_allergen_dates() -> tuple[AllergenDates, ...]:
    return tuple(
        AllergenDates(
            market=row["market"],
            list_name=row["list"],  # type: ignore[arg-type]
            action=row["action"],  # type: ignore[arg-type]
            rinse_off_percent=number_or_none(row["rinse_off_percent"]),
            leave_on_percent=number_or_none(row["leave_on_percent"]),
            new_goods_from=day_or_none(row["new_goods_from"]),
            existing_goods_from=day_or_none(row["existing_goods_from"]),
            source=row["source"],
            note=row["note"],
        )
        for row in rows_of("allergen_dates")
    )


def same_name(name: str) -> str:
    """Return a name as it is compared: no capitals, single spaces."""
    return " ".join(name.casefold().split())


def rules_by_name(rules: Iterable[AllergenRule]) -> dict[str, AllergenRule]:
    """Map every printed and covered name, as compared, to its entry. A printed name wins over a covered one."""
    listed = tuple(rules)
    found = {same_name(name): rule for rule in listed for name in rule.covered_names}
    return found | {same_name(rule.name): rule for rule in listed}
