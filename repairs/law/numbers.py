"""Numbers of firms, taxes and accounts: what is wrong with one, in a sentence; empty when nothing.

Check digits only; whether the number is given to anybody is not asked of anybody.
"""

from __future__ import annotations

import re
from types import ModuleType

from django.utils.translation import gettext as _
from stdnum import bic, iban
from stdnum.ch import uid
from stdnum.eu import vat as eu_vat
from stdnum.fr import siren, siret
from stdnum.gb import vat as gb_vat

from repairs.law.countries import is_country

SWISS_SUFFIX = re.compile(r"(MWST|TVA|IVA|TPV|VAT)$")
# Where the VAT number does not begin as the country is written: Greece writes EL, Monaco and Man
# are in the territory of another.
PREFIXES = {"GR": "EL", "MC": "FR", "IM": "GB"}
FRENCH_VAT = re.compile(r"FR[0-9A-Z]{2}(\d{9})")


def tidy(number: str) -> str:
    """Without spaces, dots and dashes, in capitals."""
    return re.sub(r"[\s.\-]", "", number).upper()


def country_fault(code: str) -> str:
    """Two capital letters of ISO 3166-1; here nothing is a fault too."""
    if is_country(code):
        return ""
    if not code:
        return _("The country is missing. Give it as two capital letters, such as FR.")
    return _("“%(code)s” is no country. Give its two capital letters of ISO 3166, such as FR.") % {
        "code": code
    }


def iban_fault(number: str) -> str:
    """Length of the country and check digits of ISO 13616."""
    if not number or iban.is_valid(number):
        return ""
    return _("The IBAN %(number)s is mistyped: its check digits do not fit.") % {"number": number}


def bic_fault(number: str) -> str:
    """Form of ISO 9362 alone: it has no check digit."""
    if not number or bic.is_valid(number):
        return ""
    return _("The BIC %(number)s is mistyped: it has 8 or 11 letters and digits.") % {
        "number": number
    }


def siren_fault(number: str) -> str:
    """Nine digits with the check digit of Luhn."""
    return _fault(siren, number, _("The SIREN %(number)s is mistyped: it has 9 digits that fit."))


def siret_fault(number: str, of_siren: str = "") -> str:
    """Fourteen digits with the check digit of Luhn; the first nine are the SIREN of the firm."""
    if number and of_siren and not tidy(number).startswith(tidy(of_siren)):
        return _("The SIRET %(number)s does not begin with the SIREN %(siren)s.") % {
            "number": number,
            "siren": of_siren,
        }
    return _fault(siret, number, _("The SIRET %(number)s is mistyped: it has 14 digits that fit."))


def vat_fault(number: str, country: str) -> str:
    """Of the country given, with its prefix; an unknown country's number is not judged."""
    if not number or not is_country(country):
        return ""
    compact = tidy(number)
    prefix = PREFIXES.get(country, country)
    if not compact.startswith((prefix, "XI" if country == "GB" else prefix)):
        return _("The VAT number %(number)s does not begin with %(prefix)s.") % {
            "number": number,
            "prefix": prefix,
        }
    if _vat_fits(compact, prefix):
        return ""
    return _("The VAT number %(number)s is mistyped: its check digits do not fit.") % {
        "number": number
    }


def firm_fault(vat_id: str, company_number: str) -> str:
    """A French VAT number ends with the SIREN of its firm (CGI annexe II, not verified)."""
    said, number = FRENCH_VAT.fullmatch(tidy(vat_id)), tidy(company_number)
    if said is None or not number or number.startswith(said[1]):
        return ""
    return _(
        "The VAT number %(vat)s and the company number %(company)s are of two firms: a French VAT "
        "number ends with the SIREN. Correct the one that is wrong."
    ) % {"vat": tidy(vat_id), "company": number}


def _vat_fits(compact: str, prefix: str) -> bool:
    # Northern Ireland keeps the British check digits under its own prefix XI.
    if prefix == "GB":
        return bool(gb_vat.is_valid(compact.removeprefix("XI")))
    if prefix == "CH":
        return bool(uid.is_valid(SWISS_SUFFIX.sub("", compact)))
    if prefix.lower() in eu_vat.MEMBER_STATES or prefix == "EL":
        return bool(eu_vat.is_valid(compact))
    # Of a country whose check digits are not known here nothing is refused: a wrong refusal stops
    # an invoice, a typing error is seen by the client.
    return True


def _fault(kind: ModuleType, number: str, sentence: str) -> str:
    if not number or kind.is_valid(number):
        return ""
    return sentence % {"number": number}
