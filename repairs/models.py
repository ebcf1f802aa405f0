"""Makes every room's models known to Django; import them from their rooms, not from here."""

from repairs.audit.models import LogEntry, LogHead, LogSalt
from repairs.cases.models import Case, CaseSeries, Custody, StepMove
from repairs.findings.models import Examination, Finding, FindingTag, PartLook
from repairs.instruments.models import Dimension, Instrument, InstrumentSeries, Part
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
from repairs.wood.models import Piece, Withdrawal, WoodSeries, WoodTest

__all__ = [
    "Case",
    "CaseSeries",
    "Client",
    "Custody",
    "DataConsent",
    "Dimension",
    "Examination",
    "Finding",
    "FindingTag",
    "House",
    "HouseLimit",
    "Instrument",
    "InstrumentSeries",
    "Job",
    "LogEntry",
    "LogHead",
    "LogSalt",
    "Original",
    "Paper",
    "PaperDraft",
    "Part",
    "PartLook",
    "Photo",
    "Piece",
    "Prescription",
    "Reading",
    "Result",
    "StepMove",
    "Tag",
    "Tool",
    "Upload",
    "User",
    "Verdict",
    "Withdrawal",
    "WoodSeries",
    "WoodTest",
]
