"""Moved to ``repairs.identifiers``, where the rooms below find them too."""

from __future__ import annotations

from repairs.identifiers import (
    bic_fault,
    country_fault,
    iban_fault,
    siren_fault,
    siret_fault,
    tidy,
    vat_fault,
)

__all__ = [
    "bic_fault",
    "country_fault",
    "iban_fault",
    "siren_fault",
    "siret_fault",
    "tidy",
    "vat_fault",
]
