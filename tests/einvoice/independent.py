"""Our XML read by another program: the parser of the Factur-X library, which the house never loads.

It gives business terms by their numbers in EN 16931.
"""

from __future__ import annotations

import warnings
from typing import Any


def read(xml: bytes) -> dict[str, Any]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from facturx.parse_xml import parse_ubl_cii_xml  # noqa: PLC0415

        return dict(parse_ubl_cii_xml(xml, check_xsd=True, check_schematron=False))
