"""A condition report as large as a real one, built without a database.

The report and the ReportLab floor print this same content: the rows of the checklist, sixteen
findings, forty-two parts, and the photos, every second one with tags.
"""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from repairs.papers.blocks.document import (
    ConditionReport,
    FindingBlock,
    Hazard,
    PartRow,
    PhotoBlock,
    Row,
)
from repairs.photos.overlay import Mark
from repairs.press.document import HouseBlock, Seal, Sheet

CHECKLIST = Path(__file__).parents[2] / "fixtures" / "vocabulary" / "checklist.json"
MADE_AT = dt.datetime(2026, 3, 18, 10, 0, tzinfo=dt.UTC)
FINDINGS, PARTS = 16, 42
UNITS = {
    "answer": "object_name maker owner_or_agent entry_purpose examination_date overall_grade "
    "playable_state urgency recommendations next_check",
    "identity": "object_name hs_class maker making_place making_date serial_or_label inscriptions "
    "length width depth speaking_length wheel_diameter mass key_count parts_missing accessories "
    "carrying_case",
    "stay": "case_number entry_date received_by owner_or_agent proof_of_title entry_purpose "
    "return_date receipt_issued insurance_value liability",
    "examination": "examiner examiner_qualification photographer "
    "examination_date examination_place light_and_methods temperature "
    "humidity humidity_history playable_state played_by previous_repairs alterations "
    "former_report",
    "judgement": "overall_grade urgency recommendations handling treatment_proposal alternatives "
    "risk reversibility next_check packing_transport light_limits",
    "hazard_rows": "hazard_pests hazard_pesticide hazard_lead hazard_asbestos hazard_mould "
    "hazard_sharps",
    "photo_set": "photo_front photo_back photo_left_side photo_right_side photo_head photo_label "
    "photo_wheel photo_keybox_open photo_damage photo_scale_card",
    "so_far": "client_consent work_log treatment_materials removed_parts "
    "measurements_before_after exit_check exit_date",
}
# Units that are answered in sentences; the others take a few words.
LONG = {
    "overall_grade",
    "playable_state",
    "recommendations",
    "inscriptions",
    "accessories",
    "light_and_methods",
    "previous_repairs",
    "handling",
    "treatment_proposal",
    "alternatives",
    "risk",
    "reversibility",
}
WHOLE_VIEWS = {0: "front", 2: "back", 4: "left_side"}  # by the place of the photo
SENTENCE = (
    "Raking light shows a line along the grain between bridge and rim; its edges are level, old "
    "glue lies in it, and nothing moves under the finger."
)
TERMS = ("crack", "open joint or seam", "wear", "insect holes", "loss", "deformation")
PLACES = ("soundboard", "wheel, rim", "keybox lid", "upper key row", "bridge", "side, bass")


@dataclass(frozen=True, kw_only=True)
class Picture:
    """A print-size derivative in the store, as a photo's record knows it."""

    name: str
    width: int
    height: int
    sha256: str


def read_pictures(folder: Path, count: int) -> tuple[Picture, ...]:
    """The first pictures of the folder's list, which ``pictures.lay_out`` wrote."""
    listed = json.loads((folder / "pictures.json").read_text(encoding="utf-8"))
    return tuple(Picture(**one) for one in listed[:count])


def sheet(pictures: tuple[Picture, ...]) -> Sheet:
    """A sealed sheet with these photos, ready for the press."""
    return Sheet(
        kind="condition_report",
        template="papers/condition/condition_report.html",
        subject="case 2026-017",
        language="en",
        title="Condition report 2026-017",
        reference="2026-017 · I-0042",
        house=_house(),
        made_at=MADE_AT,
        body=report(pictures),
        seal=Seal(
            code="CVF2-F7FE-XJHF",
            version=1,
            replaces="",
            issued_at=MADE_AT,
            issued_by="Hélène Moncey",
            verify_address="https://workshop.example/verify/CVF2-F7FE-XJHF",
        ),
    )


def report(pictures: tuple[Picture, ...]) -> ConditionReport:
    """A condition report of the size of a thorough one, about an invented instrument."""
    findings = tuple(_finding(number, len(pictures)) for number in range(1, FINDINGS + 1))
    photos = tuple(_photo(i, picture, findings) for i, picture in enumerate(pictures))
    units: dict[str, Any] = {name: _rows(keys) for name, keys in UNITS.items()}
    return ConditionReport(
        case_number="2026-017",
        instrument_number="I-0042",
        instrument="Wheel fiddle (hurdy-gurdy) with guitar-shaped body",
        owner="Adèle Varennes",
        cover=photos[0] if photos else None,
        worst=findings[:3],
        outside=(),
        nothing_seen=False,
        no_photo_reason="",
        owner_words=SENTENCE,
        sizes=tuple((f"Size {i + 1} of the body", f"{120 + 31 * i} mm") for i in range(10)),
        label_text="Fait par moy\nà la ville neuve\n1771",
        **_leaves(),
        photos=photos,
        findings=findings,
        **_parts(),
        protected=tuple((PLACES[i], "ivory", SENTENCE) for i in range(3)),
        hazards=tuple(Hazard(key=key, label=key, caution=SENTENCE) for key in ("lead", "mould")),
        hazards_note=SENTENCE,
        restrictions="No cleaning of the inside.",
        examiner="Hélène Moncey",
        **units,
    )


def _leaves() -> dict[str, Any]:
    rows = tuple((f"question {i + 1} of the leave", "yes, with care") for i in range(3))
    return {"leaves": rows, "leave_decided_by": "Adèle Varennes"}


def _parts() -> dict[str, Any]:
    return {
        "readings": (),
        "annex": (),
        "parts": tuple(_part(i) for i in range(PARTS)),
        "parts_looked_at": tuple(f"part {i + 1}" for i in range(38)),
        "parts_not_examined": tuple((f"part {i + 39}", "No access unopened") for i in range(3)),
        "parts_not_said": 36,
    }


def _house() -> HouseBlock:
    return HouseBlock(
        name="Atelier of the wheel",
        trade="Wheel fiddles and other strings",
        address=("12 rue du Chien", "00000 Villeneuve"),
        email="atelier@workshop.example",
        phone="+33 0 00 00 00 00",
        registration="",
    )


def _rows(keys: str) -> tuple[Row, ...]:
    return tuple(
        Row(key=key, label=_label(key), value=SENTENCE if key in LONG else f"as recorded, {key}")
        for key in keys.split()
    )


def _label(key: str) -> str:
    return _labels()[key]


@cache
def _labels() -> dict[str, str]:
    units = json.loads(CHECKLIST.read_text(encoding="utf-8"))
    return {unit["key"]: unit["label"]["en"].capitalize() for unit in units}


def _finding(number: int, photos: int) -> FindingBlock:
    tagged = (2 * number - 1, 2 * number + 1)
    return FindingBlock(
        number=number,
        part=PLACES[number % len(PLACES)],
        term=TERMS[number % len(TERMS)],
        definition="A line along which the wood has parted without opening wide.",
        location="bass side, along the grain",
        extent=f"{20 + 7 * number} mm",
        severity=1 + number % 4,
        severity_label=("slight", "moderate", "major", "extreme")[number % 4],
        stability="stable",
        age="old",
        urgency="within 6 to 12 months",
        cause="climate",
        note=SENTENCE if number % 2 else "",
        photos=tuple(photo for photo in tagged if photo <= photos),
    )


def _photo(index: int, picture: Picture, findings: tuple[FindingBlock, ...]) -> PhotoBlock:
    facing = _facing(index, findings)
    return PhotoBlock(
        number=index + 1,
        picture=picture.name,
        width=picture.width,
        height=picture.height,
        caption=f"view {index + 1}: the part in daylight, with the scale card",
        alt=f"Photo {index + 1}: the part in daylight",
        phase="arrival",
        taken_at="17 March 2026",
        sha256=picture.sha256,
        view=WHOLE_VIEWS.get(index, ""),
        marks=tuple(_mark(one.number, index) for one in facing),
        findings=facing,
    )


def _facing(index: int, findings: tuple[FindingBlock, ...]) -> tuple[FindingBlock, ...]:
    """One, two or three findings on every second photo, none on the others."""
    if index % 2:
        return ()
    first = index // 2
    chosen = {(first + step) % len(findings) for step in range(1 + first % 3)}
    return tuple(findings[i] for i in sorted(chosen))


def _mark(number: int, index: int) -> Mark:
    x, y = 0.15 + 0.07 * ((number + index) % 10), 0.2 + 0.06 * ((number * 3 + index) % 10)
    shape = ("line", "point", "polygon")[number % 3]
    points = ((x, y), (x + 0.06, y + 0.02), (x + 0.11, y - 0.03))
    return Mark(number=number, shape=shape, points=points[:1] if shape == "point" else points)


def _part(index: int) -> PartRow:
    return PartRow(
        label=f"part {index + 1}, {PLACES[index % len(PLACES)]}",
        depth=index % 3,
        material="maple (sycamore)" if index % 2 else "",
        material_note="by eye, lens ×10" if index % 4 == 1 else "",
        protection="not protected" if index % 2 else "not known",
        originality="original" if index % 3 else "not known",
        state="looked at",
        findings=(index + 1,) if index < FINDINGS else (),
    )
