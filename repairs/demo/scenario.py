"""Plays the invented scenario through the same verbs that the screens use; twice adds nothing.

Every step looks for what it would make before making it, so that a demo that was stopped half-way
goes on where it stood. The deeds bear the scenario's own days, not the day on which it is played.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any

from repairs.bench.counter import REASON, SmallJob, serve
from repairs.cases import actions as case_actions
from repairs.cases.models import Case
from repairs.cases.paper_kinds import INTAKE_RECEIPT
from repairs.cases.receipt import issue_receipt
from repairs.demo.cast import Cast, Row, Say, day, moment, with_decimals
from repairs.demo.going import bill, issue_paper, return_instrument
from repairs.demo.look import look_over
from repairs.demo.offer import agree
from repairs.demo.set_up import set_up
from repairs.demo.store import fill_store
from repairs.demo.work import prove, work_on
from repairs.instruments import actions as instrument_actions
from repairs.instruments.dating import read_years
from repairs.instruments.models import Instrument
from repairs.papers.condition.report import CONDITION_REPORT
from repairs.people import actions as people_actions
from repairs.people.house_models import House
from repairs.people.models import Client, User
from repairs.press.actions import pdf_bytes
from repairs.press.models import Paper
from repairs.readings import actions as reading_actions
from repairs.readings.models import Tool
from repairs.storage.fixtures import read_fixture


class Scenario:
    """The demo's people, instruments and cases. ``size`` is that of the pictures' long side."""

    def __init__(self, *, password: str, say: Say, long_side_px: int = 4032) -> None:
        self.data = read_fixture("demo/scenario.json")
        self.second_half = read_fixture("demo/treatment.json")
        self.later = read_fixture("demo/later.json")
        self.mounted = read_fixture("demo/setup.json")["stay"]
        self.password = password
        self.cast = Cast(say=say, size=(long_side_px, long_side_px * 3 // 4))
        self.opened_at = moment(self.data["opened_at"])

    def play(self) -> list[Case]:
        """Make whatever of the scenario is missing and return its cases."""
        self._open_house()
        fill_store(self.cast, read_fixture("demo/wood.json"))
        known = (*self.data["clients"], *self.later["clients"])
        clients = {row["key"]: self._client(row) for row in known}
        cases = [self._stay(row, clients) for row in self.data["cases"]]
        cases.append(self._small_job(self.second_half["small_job"]))
        last = (*self.later["cases"], self.mounted)
        return [*cases, *(self._stay(row, clients) for row in last)]

    def _stay(self, row: Row, clients: Mapping[str, Client]) -> Case:
        case = self._case(row, self._instrument(row, clients[row["owner"]]))
        self._receipt(row, case)
        if case.ended_at is None:
            self._first_half(row, case)
            set_up(self.cast, row, case)
            stays = {stay["subject"]: stay for stay in self.second_half["stays"]}
            if row["subject"] in stays:
                self._second_half(stays[row["subject"]], case)
            case.refresh_from_db()
        return case

    def _first_half(self, row: Row, case: Case) -> None:
        look_over(self.cast, row, case)
        times, waits = row["times"], row.get("waits")
        for language in row["report"]:
            kind = CONDITION_REPORT.key
            issue_paper(self.cast, case, kind, language, moment(times["report"]))
        if waits and not case.waits_for:
            case_actions.wait(case, *waits, by=self.cast.head, at=moment(times["waits"]))

    def _second_half(self, stay: Row, case: Case) -> None:
        agree(self.cast, stay, case)
        work_on(self.cast, stay, case)
        prove(self.cast, stay, case)
        return_instrument(self.cast, stay, case)
        bill(self.cast, stay, case)

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
                people_actions.save_user(person, by=None, at=self.opened_at, password=self.password)
            self.cast.people[username] = person
        if not House.objects.exists():
            said = with_decimals(self.data["house"], "hourly_rate", "spoken_consent_most")
            people_actions.change_house(House(**said), by=None, at=self.opened_at)
            self.cast.say("the workshop and its people")
        self._tools()

    def _tools(self) -> None:
        for name, resolution, unit, checked in self.data["tools"]:
            if not Tool.objects.filter(name=name).exists():
                tool = Tool(
                    name=name,
                    resolution=Decimal(resolution),
                    unit=unit,
                    calibrated_on=day(checked),
                )
                reading_actions.keep_tool(tool, by=self.cast.head, at=self.opened_at)

    def _client(self, row: Row) -> Client:
        known = Client.objects.filter(name=row["name"]).first()
        if known is not None:
            return known
        apart, at = ("key", "consents", "at"), moment(row["at"])
        fields = {key: value for key, value in row.items() if key not in apart}
        client = people_actions.enter_client(Client(**fields), by=self.cast.head, at=at)
        for purpose, how in row["consents"]:
            people_actions.give_data_consent(client, purpose, how, by=self.cast.head, at=at)
        return client

    def _instrument(self, row: Row, owner: Client) -> Instrument:
        said = with_decimals(row["instrument"], "declared_value")
        known = Instrument.objects.filter(owner=owner, kind=said["kind"]).first()
        if known is not None:
            return known
        instrument = Instrument(owner=owner, **said)
        if years := read_years(instrument.date_text):
            instrument.year_first, instrument.year_last = years.first, years.last
        sizes = {key: Decimal(value) for key, value in row["dimensions"].items()}
        by, at = self.cast.head, moment(row["case"]["received_at"])
        instrument_actions.enter_instrument(instrument, sizes, by=by, at=at)
        changed = []
        for part in instrument.parts.filter(key__in=row["materials"]):
            part.material, part.material_note, part.originality = row["materials"][part.key]
            changed.append(part)
        instrument_actions.describe_parts(instrument, changed, by=by, at=at)
        return instrument

    def _case(self, row: Row, instrument: Instrument) -> Case:
        said = with_decimals(row["case"], "insured_value", "room_t_c", "room_rh_pct")
        received = said["received_at"] = moment(said["received_at"])
        known = instrument.cases.filter(received_at=received).first()
        if known is not None:
            return known
        for name in ("promised_on", "review_on"):
            said[name] = day(said.get(name))
        case = Case(instrument=instrument, owner=instrument.owner, **said)
        case_actions.take_in(case, by=self.cast.people["armand"], at=received)
        self.cast.tell(case, "taken in")
        return case

    def _receipt(self, row: Row, case: Case) -> None:
        kind = INTAKE_RECEIPT
        if Paper.objects.current(kind, case.log_key) is not None:
            return
        by, at = self.cast.head, moment(row["times"]["receipt"])
        issue_receipt(case, language=case.owner.language, by=by, at=at)

    def _small_job(self, said: Mapping[str, Any]) -> Case:
        """A job while the owner waits: from the counter to the door on one screen."""
        known = Case.objects.filter(reason=REASON, owner__name=said["client"]["name"]).first()
        if known is not None:
            return known
        job = SmallJob(
            client=Client(**said["client"]),
            instrument=Instrument(**said["instrument"]),
            asked=said["asked"],
            done=said["done"],
            procedure=said["procedure"],
            minutes=said["minutes"],
            price=Decimal(said["price"]),
            agreed_words=said["agreed_words"],
            is_handed_back=True,
        )
        case = serve(job, by=self.cast.people[said["by"]], at=moment(said["at"]))
        self.cast.tell(case, "a small job, done while the owner waited")
        return case


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
        for invoice in case.invoices.select_related("paper"):
            path = folder / f"{case.number}-{invoice.number}.pdf"
            path.write_bytes(pdf_bytes(invoice.paper))
            written.append(path)
    return written
