"""Plays the looking over: photos, findings with their tags, readings, judgement, report."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping
from decimal import Decimal
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from repairs.cases.models import Case
from repairs.demo.cast import Cast, Row, day, moment, room, with_decimals
from repairs.demo.pictures import write
from repairs.demo.pictures.shot import Shot
from repairs.demo.pictures.shots import SHOTS
from repairs.findings import actions as finding_actions
from repairs.findings.look_models import Examination, PartLook
from repairs.findings.models import Finding
from repairs.people.models import User
from repairs.photos import actions as photo_actions
from repairs.photos import development
from repairs.photos.models import Carries, Photo, Tag
from repairs.photos.upload_models import Upload
from repairs.readings import actions as reading_actions
from repairs.readings.measured import answered, say_measured
from repairs.readings.models import Reading, Tool

AS_FOUND = ("arrival",)
USUAL_ROOM = ("18.0", "45.0")


def look_over(cast: Cast, row: Row, case: Case) -> None:
    take_photos(cast, row["subject"], case, AS_FOUND)
    at = moment(row["times"]["looked"])
    _findings(cast, row, case, at)
    for said in row.get("readings", []):
        take_reading(case, said, by=cast.people["armand"])
    _measured(row.get("measured", []), case, by=cast.people["armand"])
    _examination(cast, row, case, at)


def _measured(told: Collection[tuple[int, str]], case: Case, *, by: User) -> None:
    """Which reading gave the figure of a finding, where that was not said before."""
    known = {answer.finding.number for answer in answered(case)}
    for number, gauge in told:
        if number not in known:
            reading = case.readings.present().filter(gauge=gauge).earliest("number")
            finding = case.findings.get(number=number)
            say_measured(finding, reading, by=by, at=reading.saved_at)


def take_photos(cast: Cast, subject: str, case: Case, phases: Collection[str]) -> None:
    """Draw, send and develop the shots of those phases that the case has not yet."""
    shots = [one for one in SHOTS if one.subject == subject and one.phase in phases]
    known = set(case.photos.exclude(state=Photo.State.REFUSED).values_list("sent_name", flat=True))
    with TemporaryDirectory() as folder:
        for number, shot in enumerate(shots, 1):
            if shot.name not in known:
                _photo(cast, shot, case, Path(folder))
                cast.tell(case, f"photo {number} of {len(shots)}, {shot.phase}")


def _photo(cast: Cast, shot: Shot, case: Case, folder: Path) -> None:
    path, by = write(shot, folder, cast.size), cast.people["lise"]
    at = moment(shot.taken_at.isoformat()) + dt.timedelta(minutes=5)
    upload = photo_actions.open_upload(
        Upload(
            case=case,
            by=by,
            name=shot.name,
            size_bytes=path.stat().st_size,
            phase=shot.phase,
            view=shot.view,
            carries=Carries.BOTH,  # the card with its bar of ten centimetres lies in every one
        ),
        at=at,
    )
    photo_actions.append(upload, [path.read_bytes()], offset=0)
    path.unlink()
    photo = photo_actions.complete(upload, at=at)
    photo.caption = shot.caption_fr if case.owner.language == "fr" else shot.caption_en
    photo_actions.describe(photo, by=by, at=at)
    development.develop(Upload.objects.select_related("photo__case").get(pk=upload.pk))


def shots_of(subject: str, *, is_found: bool) -> dict[str, Shot]:
    """The shots of an instrument by their scene: as found, or those of the work and after it."""
    return {
        shot.scene.partition("/")[2]: shot
        for shot in SHOTS
        if shot.subject == subject and (shot.phase in AS_FOUND) is is_found
    }


def tag_place(
    case: Case, shot: Shot, spot: str, finding: Finding, *, by: User, at: dt.datetime
) -> None:
    """Draw the tag of a named place of the picture, bound to the finding."""
    shape, points = shot.tags[spot]
    photo = case.photos.get(sent_name=shot.name)
    exact = [[round(x, 4), round(y, 4)] for x, y in points]
    tag = Tag(photo=photo, shape=shape, points=exact, drawn_by=by)
    finding_actions.draw_tag(tag, finding, at=at)


def _findings(cast: Cast, row: Row, case: Case, at: dt.datetime) -> None:
    parts = {part.key: part for part in case.instrument.parts.all()}
    known = set(case.findings.values_list("number", flat=True))
    shots, by = shots_of(row["subject"], is_found=True), cast.people["armand"]
    for number, said in enumerate(row["findings"], 1):
        if number not in known:
            finding = _finding(case, parts, said, by=by, at=at)
            for scene, spot in said[-1]:
                tag_place(case, shots[scene], spot, finding, by=by, at=at)
    if not case.looks.filter(part=parts["body"]).exists():
        looks = {parts[key].pk: (PartLook.State.LOOKED, "") for key in row["looked"]}
        looks |= {
            parts[key].pk: (PartLook.State.NOT_EXAMINED, why)
            for key, why in row["not_examined"].items()
            if why
        }
        finding_actions.note_looks(case, looks, by=by, at=at)


def _finding(
    case: Case, parts: Mapping[str, Any], said: list[Any], *, by: User, at: dt.datetime
) -> Finding:
    part, term, where, extent, unit, severity, stability, age, urgency, cause, note, _tags = said
    finding = Finding(
        case=case,
        part=parts[part],
        term=term,
        location=where,
        extent_value=Decimal(extent) if extent else None,
        extent_unit=unit or "",
        severity=severity,
        stability=stability,
        age=age,
        urgency=urgency,
        cause=cause,
        note=note,
    )
    return finding_actions.add_finding(finding, by=by, at=at)


def take_reading(case: Case, said: Row, *, by: User) -> None:
    """Save a set of raw values, unless the case has it."""
    fields = {key: value for key, value in said.items() if key not in ("tool", "room")}
    taken = fields["taken_at"] = moment(said["taken_at"])
    if case.readings.filter(gauge=said["gauge"], taken_at=taken).exists():
        return
    tool = Tool.objects.filter(name=said["tool"]).first()
    reading = Reading(case=case, tool=tool, **room(said.get("room", USUAL_ROOM)), **fields)
    reading_actions.save_reading(reading, by=by, at=taken + dt.timedelta(minutes=5))


def _examination(cast: Cast, row: Row, case: Case, at: dt.datetime) -> None:
    said = row["examination"]
    if not said or Examination.objects.filter(case=case).exists():
        return
    fields = with_decimals(said, "room_t_c", "room_rh_pct")
    by = fields["examiner"] = cast.people[fields["examiner"]]
    for name in ("examined_on", "next_check_on"):
        fields[name] = day(fields[name])
    finding_actions.save_examination(Examination(case=case, **fields), seen=0, by=by, at=at)
    finding_actions.finish_look(case, by=by, at=at)
