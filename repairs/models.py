"""Makes every room's models known to Django; import them from their rooms, not from here."""

from repairs.audit.models import LogEntry, LogHead, LogSalt
from repairs.cases.models import Case, CaseSeries, Custody, HandBack, StepMove
from repairs.estimates.models import Consent, ConsentLink, Estimate, Option, OptionLine
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
from repairs.treatment.models import (
    Achieved,
    AgreedWork,
    Intervention,
    MaterialUse,
    MoveDone,
    NewPart,
    ProcedureVersion,
    RemovedPart,
    SignOff,
    StepNote,
    WorkSpell,
)
from repairs.wood.models import Piece, Withdrawal, WoodSeries, WoodTest

__all__ = [
    "Achieved",
    "AgreedWork",
    "Case",
    "CaseSeries",
    "Client",
    "Consent",
    "ConsentLink",
    "Custody",
    "DataConsent",
    "Dimension",
    "Estimate",
    "Examination",
    "Finding",
    "FindingTag",
    "HandBack",
    "House",
    "HouseLimit",
    "Instrument",
    "InstrumentSeries",
    "Intervention",
    "Job",
    "LogEntry",
    "LogHead",
    "LogSalt",
    "MaterialUse",
    "MoveDone",
    "NewPart",
    "Option",
    "OptionLine",
    "Original",
    "Paper",
    "PaperDraft",
    "Part",
    "PartLook",
    "Photo",
    "Piece",
    "Prescription",
    "ProcedureVersion",
    "Reading",
    "RemovedPart",
    "Result",
    "SignOff",
    "StepMove",
    "StepNote",
    "Tag",
    "Tool",
    "Upload",
    "User",
    "Verdict",
    "Withdrawal",
    "WoodSeries",
    "WoodTest",
    "WorkSpell",
]
