"""What own soap holds: shares, mixtures, and soap that has dried. Pure."""

from decimal import Decimal

import pytest

from production.batches.contents import ContentsError, dried, share_of, together
from production.batches.frozen import FrozenContent, FrozenContents, FrozenMaterial

OIL = FrozenMaterial(1, "Olive oil", "fat", sap_plan=Decimal(189))
WATER = FrozenMaterial(2, "Water", "liquid", water_percent=Decimal(100))
MILK = FrozenMaterial(3, "Goat milk", "liquid", water_percent=Decimal("87.5"), fat_percent=Decimal(4))
SCENT = FrozenMaterial(4, "Lavender", "essential_oil", allergens=(("Linalool", Decimal(30)),))


def soap(*items: tuple[FrozenMaterial, str]) -> FrozenContents:
    return FrozenContents(tuple(FrozenContent(material, Decimal(grams)) for material, grams in items))


def listed(contents: FrozenContents) -> dict[str, str]:
    return {item.material.name: f"{item.grams.normalize():f}" for item in contents.items}


WHOLE = soap((OIL, "1000"), (WATER, "300"), (SCENT, "30"))


def test_a_share_holds_everything_in_the_same_parts():
    """Worked by hand: 133 g are a tenth of 1,330 g."""
    assert listed(share_of(WHOLE, Decimal(133))) == {"Olive oil": "100", "Water": "30", "Lavender": "3"}


def test_soaps_together_add_up_material_by_material():
    both = together((share_of(WHOLE, Decimal(133)), soap((OIL, "50"), (MILK, "20"))))
    assert listed(both) == {"Olive oil": "150", "Water": "30", "Lavender": "3", "Goat milk": "20"}


def test_one_material_with_two_certificates_stays_two():
    other = FrozenMaterial(1, "Olive oil", "fat", sap_plan=Decimal(192))
    assert len(together((soap((OIL, "50")), soap((other, "50")))).items) == 2


def test_only_water_dries_away():
    """Worked by hand: 1,330 g dried to 1,180 g have lost 150 g, all of it water."""
    assert listed(dried(WHOLE, Decimal(1180))) == {"Olive oil": "1000", "Water": "150", "Lavender": "30"}


def test_soap_that_lost_nothing_stays_as_it_is():
    assert dried(WHOLE, Decimal(1330)) == WHOLE


def test_milk_that_dries_keeps_its_fat():
    """Worked by hand: 100 g milk with 87.5 g water and 4 g fat, less 50 g water: 50 g with 37.5 g water, 4 g fat."""
    (milk,) = dried(soap((MILK, "100")), Decimal(50)).items
    assert (milk.grams, milk.material.water_percent, milk.material.fat_percent) == (
        Decimal(50),
        Decimal(75),
        Decimal(8),
    )


def test_soap_cannot_weigh_less_than_all_but_its_water():
    with pytest.raises(ContentsError, match=r"would weigh 1030\.0 g, not 1000\.0 g"):
        dried(WHOLE, Decimal(1000))
