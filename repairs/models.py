"""Makes every room's models known to Django; import them from their rooms, not from here."""

from repairs.audit.models import LogEntry, LogHead, LogSalt, Tally, Voucher
from repairs.cases.custody_models import CaseSeries, Custody, StepMove
from repairs.cases.hand_back_models import HandBack
from repairs.cases.models import Case
from repairs.causes.models import WhatItWas
from repairs.estimates.consent_models import Consent, ConsentLink
from repairs.estimates.models import Estimate, Option, OptionLine, OptionLineFinding
from repairs.findings.laid_models import LaidMap
from repairs.findings.look_models import Examination, PartLook
from repairs.findings.models import Finding, FindingTag
from repairs.instruments.hazard_models import HazardLifted, HazardNoted
from repairs.instruments.models import Instrument, InstrumentSeries
from repairs.instruments.part_models import Dimension, Part
from repairs.invoices.draft_models import DraftLine, InvoiceDraft
from repairs.invoices.models import ClosedYear, Deduction, Invoice, Payment, TaxRow
from repairs.invoices.series_models import InvoiceSeries
from repairs.jobs.models import Chore, Job
from repairs.keep.models import KeepRun
from repairs.keep.store_models import FileCheck, StoreCheck
from repairs.payments.models import Reminder, Sending
from repairs.people.house_models import House
from repairs.people.models import Client, DataConsent, User
from repairs.photos.derivative_models import Derivative
from repairs.photos.models import Original, Photo, Tag
from repairs.photos.upload_models import Upload
from repairs.press.models import Paper, PaperDraft
from repairs.press.proof_models import PaperProof
from repairs.procedures.models import ProcedureVersion
from repairs.readings.measured_models import Measured
from repairs.readings.models import HouseLimit, Prescription, Reading, Result, Tool, Verdict
from repairs.readings.setup_models import SetUp, SetUpMark
from repairs.screens.once_models import SentForm
from repairs.screens.tries_models import Tries
from repairs.treatment.link_models import (
    AgreedWorkFinding,
    InterventionFinding,
    InterventionPart,
)
from repairs.treatment.models import AgreedWork, Intervention, SignOff, StepNote, WorkSpell
from repairs.treatment.outcome_models import Achieved, MoveDone
from repairs.treatment.part_models import MaterialUse, NewPart, RemovedPart
from repairs.wood.models import Piece, Withdrawal, WoodSeries
from repairs.wood.tested_models import WoodTest

__all__ = [
    "Achieved",
    "AgreedWork",
    "AgreedWorkFinding",
    "Case",
    "CaseSeries",
    "Chore",
    "Client",
    "ClosedYear",
    "Consent",
    "ConsentLink",
    "Custody",
    "DataConsent",
    "Deduction",
    "Derivative",
    "Dimension",
    "DraftLine",
    "Estimate",
    "Examination",
    "FileCheck",
    "Finding",
    "FindingTag",
    "HandBack",
    "HazardLifted",
    "HazardNoted",
    "House",
    "HouseLimit",
    "Instrument",
    "InstrumentSeries",
    "Intervention",
    "InterventionFinding",
    "InterventionPart",
    "Invoice",
    "InvoiceDraft",
    "InvoiceSeries",
    "Job",
    "KeepRun",
    "LaidMap",
    "LogEntry",
    "LogHead",
    "LogSalt",
    "MaterialUse",
    "Measured",
    "MoveDone",
    "NewPart",
    "Option",
    "OptionLine",
    "OptionLineFinding",
    "Original",
    "Paper",
    "PaperDraft",
    "PaperProof",
    "Part",
    "PartLook",
    "Payment",
    "Photo",
    "Piece",
    "Prescription",
    "ProcedureVersion",
    "Reading",
    "Reminder",
    "RemovedPart",
    "Result",
    "Sending",
    "SentForm",
    "SetUp",
    "SetUpMark",
    "SignOff",
    "StepMove",
    "StepNote",
    "StoreCheck",
    "Tag",
    "Tally",
    "TaxRow",
    "Tool",
    "Tries",
    "Upload",
    "User",
    "Verdict",
    "Voucher",
    "WhatItWas",
    "Withdrawal",
    "WoodSeries",
    "WoodTest",
    "WorkSpell",
]
