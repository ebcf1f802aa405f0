"""Who sells and who buys, frozen as they are on the day of the invoice."""

from __future__ import annotations

from repairs.einvoice.document import Party
from repairs.people.house_models import House
from repairs.people.models import Client


def seller_party(house: House, *, names_vat: bool) -> Party:
    """The house as seller. A SIREN is the first nine digits of a SIRET of fourteen; both are of
    France alone, elsewhere the number is that of the local register."""
    number = digits(house.company_number)
    return Party(
        name=house.name,
        legal_name=house.legal_name,
        legal_form=house.legal_form,
        address=_address(house.address),
        postcode=house.postcode,
        city=house.city,
        country=house.country,
        siren=number[:9] if house.country == "FR" else "",
        siret=number if house.country == "FR" and len(number) == 14 else "",
        registration="" if house.country == "FR" else house.company_number,
        vat_id=house.vat_id if names_vat else "",
        tax_number=house.tax_number,
        email=house.email,
        phone=house.phone,
        iban=house.iban.replace(" ", ""),
        bic=house.bic,
    )


def buyer_party(client: Client) -> Party:
    """The client as buyer; whatever is not known is empty."""
    is_french = client.country == "FR"
    number = digits(client.company_number)
    if is_french and not number:  # a French VAT number ends with the SIREN
        number = digits(client.vat_id)[2:]
    return Party(
        name=client.name,
        address=_address(client.address),
        postcode=client.postcode,
        city=client.city,
        country=client.country,
        siren=number[:9] if is_french else "",
        siret=number if is_french and len(number) == 14 else "",
        registration="" if is_french else client.company_number,
        vat_id=client.vat_id,
        contact=client.contact,
        e_address=client.e_address,
        email=client.email,
        phone=client.phone,
        is_business=client.is_business,
    )


def digits(words: str) -> str:
    """The digits of a number that was typed with spaces and points."""
    return "".join(sign for sign in words if sign.isdigit())


def _address(text: str) -> tuple[str, ...]:
    """Three lines at most: that is all that an e-invoice holds."""
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    return (*lines[:2], ", ".join(lines[2:])) if len(lines) > 3 else tuple(lines)
