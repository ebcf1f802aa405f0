"""Random lawful invoices have no finding in schema, rules and our checks; changed ones have some.

``SAUTEREAU_RANDOM_INVOICES=10000`` tries as many; a run of the suite tries a hundred,
others with each commit.
"""

from __future__ import annotations

import os
from decimal import Decimal

from hypothesis import HealthCheck, given, seed, settings
from hypothesis import strategies as st

from repairs.einvoice.check.findings import WAIVED
from repairs.einvoice.check.validate import BUILDERS, build_checked, check_invoice
from repairs.einvoice.read.read import read_xml
from repairs.einvoice.totals import totals_of
from repairs.einvoice.write.cii import build_cii
from tests.einvoice.strategies import invoices
from tests.shares import commits

MANY = int(os.environ.get("SAUTEREAU_RANDOM_INVOICES", "60"))
COMMIT = commits() or 0  # other invoices with each commit, the same for all who try this one
THOROUGH = settings(
    max_examples=MANY,
    deadline=None,
    database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
SUMS = ["106", "109", "110", "112", "115"]
TAGS = {
    "106": "ram:LineTotalAmount>{0}</ram:LineTotalAmount>\n        <ram:Charge",
    "109": "ram:TaxBasisTotalAmount>{0}<",
    "110": ">{0}</ram:TaxTotalAmount>",
    "112": "ram:GrandTotalAmount>{0}<",
    "115": "ram:DuePayableAmount>{0}<",
}


@seed(COMMIT)
@THOROUGH
@given(doc=invoices(), syntax=st.sampled_from(sorted(BUILDERS)))
def test_a_lawful_invoice_has_no_finding(doc, syntax):
    report = build_checked(doc, syntax).report

    assert [one for one in report.findings if one.flag != WAIVED] == []
    assert report.tried > 40


@seed(COMMIT)
@settings(THOROUGH, max_examples=max(MANY // 4, 20))
@given(doc=invoices(), change=st.sampled_from(SUMS), cents=st.integers(1, 500))
def test_a_changed_sum_is_caught(doc, change, cents):
    totals = totals_of(doc)
    values = {
        "106": totals.lines_net,
        "109": totals.net,
        "110": totals.vat,
        "112": totals.gross,
        "115": totals.due,
    }
    xml = build_cii(doc).decode()
    before = TAGS[change].format(f"{values[change]:.2f}")
    after = TAGS[change].format(f"{values[change] + Decimal(cents) / 100:.2f}")
    assert before in xml

    report = check_invoice(doc, xml.replace(before, after).encode())

    assert not report.passed


@seed(COMMIT)
@settings(THOROUGH, max_examples=max(MANY // 4, 20))
@given(doc=invoices(), data=st.data())
def test_a_changed_line_is_caught(doc, data):
    xml = build_cii(doc).decode()
    line = data.draw(st.sampled_from(read_xml(xml.encode(), "x").lines))
    head, rest = xml.split(f"<ram:LineID>{line.number}</ram:LineID>", 1)
    start = rest.index("<ram:BilledQuantity")
    end = rest.index("</ram:BilledQuantity>")
    more = f'<ram:BilledQuantity unitCode="C62">{line.quantity + 1}'
    changed = f"{head}<ram:LineID>{line.number}</ram:LineID>{rest[:start]}{more}{rest[end:]}"

    report = check_invoice(doc, changed.encode())

    assert not report.passed
