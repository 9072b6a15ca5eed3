"""Hold a customer's avoid-list against what goes into a bar. Cautious words only: never "free from"."""

from dataclasses import dataclass


@dataclass(frozen=True)
class AvoidList:
    """What the customer wants left out: groups such as "palm", and single materials by name."""

    groups: tuple[str, ...] = ()
    materials: tuple[str, ...] = ()

    @property
    def is_empty(self) -> bool:
        return not self.groups and not self.materials

    @property
    def words(self) -> tuple[str, ...]:
        return (*self.groups, *self.materials)


@dataclass(frozen=True)
class Ingredient:
    name: str
    groups: tuple[str, ...]
    where: str


@dataclass(frozen=True)
class AvoidHit:
    ingredient: str
    where: str
    because: str


def avoid_hits(wanted: AvoidList, ingredients: tuple[Ingredient, ...]) -> tuple[AvoidHit, ...]:
    """Return every ingredient that stands on the avoid-list, by its own name first, else by its group."""
    names = {name.casefold() for name in wanted.materials}
    groups = {group.casefold() for group in wanted.groups}
    hits = []
    for item in ingredients:
        own = {group.casefold() for group in item.groups}
        shared = [group for group in item.groups if group.casefold() in groups]
        kin = [group for group in wanted.groups if f"{group.casefold()} kin" in own]
        if item.name.casefold() in names:
            hits.append(AvoidHit(item.name, item.where, "on the list by name"))
        elif shared:
            hits.append(AvoidHit(item.name, item.where, ", ".join(shared)))
        elif kin:
            hits.append(AvoidHit(item.name, item.where, f"kin of {' and '.join(kin)}: ask whether that is meant too"))
    return tuple(hits)


def new_hits(known: tuple[AvoidHit, ...], found: tuple[AvoidHit, ...]) -> tuple[AvoidHit, ...]:
    """Return what the batches hold beyond what the formula says already, each ingredient once."""
    names = {hit.ingredient for hit in known}
    first = {hit.ingredient: hit for hit in reversed(found) if hit.ingredient not in names}
    return tuple(hit for hit in found if first.get(hit.ingredient) == hit)
