"""Makes every room's models known to Django; import them from their rooms, not from here."""

from repairs.audit.models import LogEntry, LogHead, LogSalt
from repairs.cases.models import Case, CaseSeries, Custody, StepMove
from repairs.findings.models import Examination, Finding, FindingTag, PartLook
from repairs.instruments.models import Dimension, Instrument, InstrumentSeries, Part
from repairs.invoices.models import (
    ClosedYear,
    Deduction,
    DraftLine,
    Invoice,
    InvoiceDraft,
    InvoiceSeries,
    Payment,
    Reminder,
    Sending,
    TaxRow,
)
from repairs.jobs.models import Job
from repairs.people.models import Client, DataConsent, House, User
from repairs.photos.models import Original, Photo, Tag, Upload
from repairs.press.models import Paper, PaperDraft
from repairs.readings.models import (
    HouseLimit,
    Prescription,
    Reading,
    Result,
    Tool,
    Verdict,
)

__all__ = [
    "Case",
    "CaseSeries",
    "Client",
    "ClosedYear",
    "Custody",
    "DataConsent",
    "Deduction",
    "Dimension",
    "DraftLine",
    "Examination",
    "Finding",
    "FindingTag",
    "House",
    "HouseLimit",
    "Instrument",
    "InstrumentSeries",
    "Invoice",
    "InvoiceDraft",
    "InvoiceSeries",
    "Job",
    "LogEntry",
    "LogHead",
    "LogSalt",
    "Original",
    "Paper",
    "PaperDraft",
    "Part",
    "PartLook",
    "Payment",
    "Photo",
    "Prescription",
    "Reading",
    "Reminder",
    "Result",
    "Sending",
    "StepMove",
    "Tag",
    "TaxRow",
    "Tool",
    "Upload",
    "User",
    "Verdict",
]
