"""Makes the things of the casebook through the same verbs that the screens use, room by room."""

from tests.factories.cases import RECEIVED, case, looked_over, receipt
from tests.factories.estimates import (
    SIGNATURE,
    consent,
    estimate,
    issue_estimate,
    link,
    paper_of,
    work_line,
)
from tests.factories.findings import examination, finding
from tests.factories.instruments import hazard, instrument
from tests.factories.invoices import draft, hours, issued, late, payment, sold
from tests.factories.people import BILLING, billing_house, house, owner, payer, person
from tests.factories.photos import jpeg, photo, tag, upload
from tests.factories.procedures import PROCEDURES, procedure, procedure_version
from tests.factories.readings import read_with, string_reading
from tests.factories.treatment import agreed_work, agreed_works, begun_work, signed_off, ticked
from tests.factories.wood import piece, withdrawal, wood_test

__all__ = [
    "BILLING",
    "PROCEDURES",
    "RECEIVED",
    "SIGNATURE",
    "agreed_work",
    "agreed_works",
    "begun_work",
    "billing_house",
    "case",
    "consent",
    "draft",
    "estimate",
    "examination",
    "finding",
    "hazard",
    "hours",
    "house",
    "instrument",
    "issue_estimate",
    "issued",
    "jpeg",
    "late",
    "link",
    "looked_over",
    "owner",
    "paper_of",
    "payer",
    "payment",
    "person",
    "photo",
    "piece",
    "procedure",
    "procedure_version",
    "read_with",
    "receipt",
    "signed_off",
    "sold",
    "string_reading",
    "tag",
    "ticked",
    "upload",
    "withdrawal",
    "wood_test",
    "work_line",
]
