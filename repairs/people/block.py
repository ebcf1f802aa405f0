"""The workshop as the head of its papers."""

from __future__ import annotations

from repairs.people.house_models import House
from repairs.press.document import HouseBlock


def house_block() -> HouseBlock:
    """The house as the head of a paper shows it today."""
    house = House.present()
    lines = (*house.address.splitlines(), f"{house.postcode} {house.city}")
    address = tuple(line.strip() for line in lines if line.strip())
    return HouseBlock(
        name=house.name,
        trade=house.trade,
        address=address,
        email=house.email,
        phone=house.phone,
        registration=house.registration,
    )
