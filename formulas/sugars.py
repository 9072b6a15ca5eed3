"""Additions that are sugars: they heat the setting batter, whatever the lye."""

# Words in the names of such additions (common practice, no source).
SUGAR_WORDS = ("honey", "sugar", "syrup", "molasses", "sorbitol")


def is_sugar(name: str) -> bool:
    return any(word in name.casefold() for word in SUGAR_WORDS)
