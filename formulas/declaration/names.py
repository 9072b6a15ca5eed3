"""The word that each substance carries in a market, and what is wrong with it."""

from dataclasses import dataclass, field

from formulas.declaration.records import DeclaredInput
from formulas.label_rules.problems import Problem
from formulas.label_rules.rulebook import LabelTables, RuleSet

MENDS = {
    "us": "Enter its US label name on the material page.",
    "eu": "Enter its European label name on the material page.",
    "ca": "Enter its Canadian or European label name on the material page.",
}


@dataclass
class NameBook:
    """Gives names for one list and gathers, once for each material, the ones that are missing or unconfirmed."""

    rules: RuleSet
    tables: LabelTables
    problems: dict[tuple[str, str], Problem] = field(default_factory=dict)

    def word(self, key: str) -> str:
        return self.tables.words[key, self.rules.name_column]

    def material(self, given: DeclaredInput) -> str:
        """Return the market's own name; the workshop's name in brackets stands in for one that is missing."""
        names = given.names
        name = {"us": names.us, "eu": names.eu, "ca": names.ca if names.ca is not None else names.eu}[
            self.rules.name_column
        ]
        if not name.strip() and given.role == "alkali":
            return self.word(given.alkali_kind)
        return self._checked(given, self._with_nano(given, name), MENDS[self.rules.name_column])

    def color(self, given: DeclaredInput) -> str:
        if self.rules.color_column == "us":
            return self._checked(given, given.names.color_us, "Enter the color's listed US name on the material page.")
        name = self._with_nano(given, given.names.color_ci)
        return self._checked(given, name, "Enter the color index number on the material page.")

    def soap(self, given: DeclaredInput, alkali_kind: str) -> str:
        is_sodium = alkali_kind == "NaOH"
        name = given.names.soap_sodium if is_sodium else given.names.soap_potassium
        what = "sodium" if is_sodium else "potassium"
        kind = "salt" if given.role == "acid" else "soap"
        return self._checked(given, name, f"Enter the name of its {what} {kind} on the material page.")

    def scent(self, given: DeclaredInput) -> str:
        return self.material(given) if given.is_named_apart else self.word("fragrance")

    def _with_nano(self, given: DeclaredInput, name: str) -> str:
        if given.is_nano and self.rules.market in ("eu", "uk") and name.strip():
            return f"{name.strip()} (nano)"
        return name

    def _checked(self, given: DeclaredInput, name: str, mend: str) -> str:
        name = " ".join(name.split())
        if not name:
            text = f"{given.material} has no name for this label."
            self.problems.setdefault((given.material, mend), Problem("stop", "missing_name", text, mend))
            return f"[{given.material}]"
        if not given.names.is_confirmed:
            text = f"The label name of {given.material}, “{name}”, has not been confirmed."
            check = "Check the spelling against the current ingredient list and confirm it once on the material page."
            self.problems.setdefault((given.material, name), Problem("ask", "unconfirmed_name", text, check))
        return name
