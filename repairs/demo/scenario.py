"""Plays the invented scenario through the same verbs that the screens use; twice adds nothing.

Every step looks for what it would make before making it, so that a demo that was stopped half-way
goes on where it stood.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from decimal import Decimal
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from django.utils import timezone

from repairs.cases import actions as case_actions
from repairs.cases.compile import intake_receipt
from repairs.cases.models import Case
from repairs.demo.pictures import SHOTS, Shot, write
from repairs.findings import actions as finding_actions
from repairs.findings.models import Examination, Finding, PartLook
from repairs.instruments import actions as instrument_actions
from repairs.instruments.dating import read_years
from repairs.instruments.kinds import read_fixture
from repairs.instruments.models import Instrument
from repairs.papers import actions as paper_actions
from repairs.people import actions as people_actions
from repairs.people.models import Client, House, User
from repairs.photos import actions as photo_actions
from repairs.photos.models import Photo, Tag, Upload
from repairs.press.actions import issue, pdf_bytes, propose_seal
from repairs.press.models import Paper
from repairs.readings import actions as reading_actions
from repairs.readings.models import Reading, Tool

Say = Callable[[str], None]
DECIMALS = ("insured_value", "room_t_c", "room_rh_pct")


class Scenario:
    """The demo's people, instruments and cases. ``size`` is that of the pictures' long side."""

    def __init__(self, *, password: str, say: Say, long_side_px: int = 4032) -> None:
        self.data = read_fixture("demo/scenario.json")
        self.password, self.say = password, say
        self.size = (long_side_px, long_side_px * 3 // 4)
        self.now = timezone.now()
        self.people: dict[str, User] = {}

    def play(self) -> list[Case]:
        """Make whatever of the scenario is missing and return its cases."""
        self._open_house()
        clients = {row["key"]: self._client(row) for row in self.data["clients"]}
        cases = []
        for row in self.data["cases"]:
            instrument = self._instrument(row, clients[row["owner"]])
            case = self._case(row, instrument)
            self._receipt(case)
            self._photos(row, case)
            self._findings(row, case)
            self._readings(row, case)
            self._examination(row, case)
            self._reports(row, case)
            cases.append(case)
        return cases

    def _open_house(self) -> None:
        for username, first, last, role, language in self.data["people"]:
            person = User.objects.filter(username=username).first()
            if person is None:
                person = User(
                    username=username,
                    first_name=first,
                    last_name=last,
                    role=role,
                    language=language,
                    email=f"{username}@sautarel.example",
                )
                people_actions.save_user(person, by=None, at=self.now, password=self.password)
            self.people[username] = person
        if not House.objects.exists():
            people_actions.change_house(House(**self.data["house"]), by=None, at=self.now)
            self.say("the workshop and its people")

    @property
    def head(self) -> User:
        return self.people["helene"]

    def _client(self, row: Mapping[str, Any]) -> Client:
        known = Client.objects.filter(name=row["name"]).first()
        if known is not None:
            return known
        fields = {key: value for key, value in row.items() if key not in ("key", "consents")}
        client = people_actions.enter_client(Client(**fields), by=self.head, at=self.now)
        for purpose, how in row["consents"]:
            people_actions.give_data_consent(client, purpose, how, by=self.head, at=self.now)
        return client

    def _instrument(self, row: Mapping[str, Any], owner: Client) -> Instrument:
        said = dict(row["instrument"])
        known = Instrument.objects.filter(owner=owner, kind=said["kind"]).first()
        if known is not None:
            return known
        said["declared_value"] = Decimal(said["declared_value"])
        instrument = Instrument(owner=owner, **said)
        if years := read_years(instrument.date_text):
            instrument.year_first, instrument.year_last = years.first, years.last
        sizes = {key: Decimal(value) for key, value in row["dimensions"].items()}
        instrument_actions.enter_instrument(instrument, sizes, by=self.head, at=self.now)
        changed = []
        for part in instrument.parts.filter(key__in=row["materials"]):
            part.material, part.material_note, part.originality = row["materials"][part.key]
            changed.append(part)
        instrument_actions.describe_parts(instrument, changed, by=self.head, at=self.now)
        return instrument

    def _case(self, row: Mapping[str, Any], instrument: Instrument) -> Case:
        known = instrument.cases.first()
        if known is not None:
            return known
        said = dict(row["case"])
        waits = said.pop("waits_for", ""), said.pop("waits_note", "")
        said["received_at"] = timezone.make_aware(dt.datetime.fromisoformat(said["received_at"]))
        for name in ("promised_on", "review_on"):
            said[name] = dt.date.fromisoformat(said[name]) if said.get(name) else None
        for name in DECIMALS:
            said[name] = Decimal(said[name])
        case = Case(instrument=instrument, owner=instrument.owner, **said)
        case_actions.take_in(case, by=self.people["armand"], at=self.now)
        if waits[0]:
            case_actions.wait(case, *waits, by=self.head, at=self.now)
        self.say(f"case {case.number} is taken in")
        return case

    def _receipt(self, case: Case) -> None:
        kind = Paper.Kind.INTAKE_RECEIPT
        if Paper.objects.current(kind, case.log_key) is not None:
            return
        seal = propose_seal(kind, case.log_key, by=self.head, at=self.now)
        sheet = intake_receipt(case, language=case.owner.language, made_at=self.now, seal=seal)
        issue(sheet, by=self.head)

    def _photos(self, row: Mapping[str, Any], case: Case) -> None:
        shots = [shot for shot in SHOTS if shot.subject == row["subject"]]
        known = set(
            case.photos.exclude(state=Photo.State.REFUSED).values_list("sent_name", flat=True)
        )
        with TemporaryDirectory() as folder:
            for number, shot in enumerate(shots, 1):
                if shot.name in known:
                    continue
                self._photo(shot, case, Path(folder))
                self.say(f"case {case.number}: photo {number} of {len(shots)}")

    def _photo(self, shot: Shot, case: Case, folder: Path) -> None:
        path = write(shot, folder, self.size)
        upload = photo_actions.open_upload(
            Upload(
                case=case,
                by=self.people["lise"],
                name=shot.name,
                size_bytes=path.stat().st_size,
                phase=shot.phase,
                view=shot.view,
            ),
            at=self.now,
        )
        photo_actions.append(upload, [path.read_bytes()], offset=0)
        path.unlink()
        photo = photo_actions.complete(upload, at=self.now)
        photo.caption = shot.caption_fr if case.owner.language == "fr" else shot.caption_en
        photo_actions.describe(photo, by=self.people["lise"], at=self.now)
        photo_actions.develop(Upload.objects.select_related("photo__case").get(pk=upload.pk))

    def _findings(self, row: Mapping[str, Any], case: Case) -> None:
        parts = {part.key: part for part in case.instrument.parts.all()}
        known = set(case.findings.values_list("number", flat=True))
        for number, said in enumerate(row["findings"], 1):
            if number not in known:
                self._finding(case, parts, said)
        if not case.looks.filter(part=parts["body"]).exists():
            looks = {parts[key].pk: (PartLook.State.LOOKED, "") for key in row["looked"]}
            looks |= {
                parts[key].pk: (PartLook.State.NOT_EXAMINED, why)
                for key, why in row["not_examined"].items()
                if why
            }
            finding_actions.note_looks(case, looks, by=self.people["armand"], at=self.now)

    def _finding(self, case: Case, parts: Mapping[str, Any], said: list[Any]) -> None:
        part, term, where, extent, unit, severity, stability, age, urgency, cause, note, tags = said
        luthier = self.people["armand"]
        finding = finding_actions.add_finding(
            Finding(
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
            ),
            by=luthier,
            at=self.now,
        )
        shots = {
            shot.scene.partition("/")[2]: shot
            for shot in SHOTS
            if shot.scene.startswith(_subject(case))
        }
        for scene, spot in tags:
            shape, points = shots[scene].tags[spot]
            photo = case.photos.get(sent_name=shots[scene].name)
            exact = [[round(x, 4), round(y, 4)] for x, y in points]
            tag = Tag(photo=photo, shape=shape, points=exact, drawn_by=luthier)
            finding_actions.bind_tag(
                photo_actions.draw_tag(tag, at=self.now), finding, by=luthier, at=self.now
            )

    def _readings(self, row: Mapping[str, Any], case: Case) -> None:
        for name, resolution, unit, checked in self.data["tools"]:
            if not Tool.objects.filter(name=name).exists():
                day = dt.date.fromisoformat(checked) if checked else None
                tool = Tool(name=name, resolution=Decimal(resolution), unit=unit, calibrated_on=day)
                reading_actions.keep_tool(tool, by=self.head, at=self.now)
        known = case.readings.count()
        for said in row.get("readings", [])[known:]:
            self._reading(case, said)

    def _reading(self, case: Case, said: Mapping[str, Any]) -> None:
        fields = {key: value for key, value in said.items() if key != "tool"}
        taken = dt.datetime.fromisoformat(fields.pop("taken_at"))
        reading = Reading(
            case=case,
            tool=Tool.objects.filter(name=said["tool"]).first(),
            taken_at=timezone.make_aware(taken),
            room_t_c=Decimal("18.0"),
            room_rh_pct=Decimal("45.0"),
            **fields,
        )
        reading_actions.save_reading(reading, by=self.people["armand"], at=self.now)

    def _examination(self, row: Mapping[str, Any], case: Case) -> None:
        said = row["examination"]
        if not said or Examination.objects.filter(case=case).exists():
            return
        fields = dict(said)
        fields["examiner"] = self.people[fields["examiner"]]
        for name in ("examined_on", "next_check_on"):
            fields[name] = dt.date.fromisoformat(fields[name])
        for name in ("room_t_c", "room_rh_pct"):
            fields[name] = Decimal(fields[name])
        finding_actions.save_examination(
            Examination(case=case, **fields), seen=0, by=fields["examiner"], at=self.now
        )
        finding_actions.finish_look(case, by=fields["examiner"], at=self.now)

    def _reports(self, row: Mapping[str, Any], case: Case) -> None:
        """Preview, then issue, as the screens do; the jobs' own functions run here at once."""
        kind = Paper.Kind.CONDITION_REPORT
        for language in row["report"]:
            if Paper.objects.current(kind, case.log_key) is not None:
                continue
            draft = paper_actions.draft_of(case, kind, language, by=self.head, at=self.now)
            paper_actions.make_preview(draft)
            paper_actions.issue_paper(draft, by=self.head, at=self.now)
            self.say(f"case {case.number}: condition report issued")


def _subject(case: Case) -> str:
    kinds = {"vielle_french": "vielle/", "vielle_lute": "luteback/", "violin": "violin/"}
    return kinds[case.instrument.kind]


def write_papers(cases: list[Case], folder: Path) -> list[Path]:
    """Write every issued paper of the cases into the folder, byte for byte."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for case in cases:
        for paper in Paper.objects.filter(subject=case.log_key).order_by("kind", "version"):
            name = f"{case.number}-{paper.kind.replace('_', '-')}-{paper.language}-v{paper.version}"
            path = folder / f"{name}.pdf"
            path.write_bytes(pdf_bytes(paper))
            written.append(path)
    return written
