"""Who sells to whom, and on which day: what the law of VAT asks of a sale."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from repairs.invoices.codes import Category
from repairs.invoices.taxing import reasons_of
from repairs.law.mentions import SMALL_BUSINESS, Reason
from repairs.law.territories import eu, territory
from repairs.people.models import Client, House

NORTHERN_IRELAND = "XI"  # the prefix of its VAT numbers


@dataclass(frozen=True, kw_only=True)
class Deal:
    """What the law asks of a sale: who sells to whom, and on which day."""

    home: str
    there: str
    pays_vat: bool
    is_business: bool
    vat_id: str
    day: dt.date

    @property
    def is_abroad(self) -> bool:
        """Whether the client is in another tax territory; Monaco, for one, is in that of France."""
        return territory(self.there) != territory(self.home)

    @property
    def is_inside(self) -> bool:
        """Whether both are in the EU."""
        return {territory(self.there), territory(self.home)} <= eu()

    @property
    def is_inside_for_goods(self) -> bool:
        """As ``is_inside``, or Northern Ireland, whose goods follow the EU's rules."""
        return self.is_inside or (
            territory(self.home) in eu() and self.vat_id.startswith(NORTHERN_IRELAND)
        )

    def reason(self, category: str) -> Reason | None:
        """Why that category bears no tax here; the small business's own only for one that is."""
        held = reasons_of(self.home, self.day, pays_vat=self.pays_vat).get(category)
        return None if held and self.pays_vat and held.key == SMALL_BUSINESS else held

    def is_small_business_tax(self, category: str) -> bool:
        """Whether it is what a small business bills under at home."""
        held = self.reason(category)
        return not self.pays_vat and held is not None and held.key == SMALL_BUSINESS


def deal_with(house: House, client: Client, day: dt.date) -> Deal:
    """The sale between those two on that day."""
    return Deal(
        home=house.country,
        there=client.country,
        pays_vat=house.pays_vat,
        is_business=client.is_business,
        vat_id=client.vat_id,
        day=day,
    )


def tax_words(deal: Deal, category: str) -> str:
    """As the law of the house calls it, else by the name of the code."""
    return str(deal.reason(category) or Category(category).label)
