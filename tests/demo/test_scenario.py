"""The scenario is played once, with small pictures, and looked at from all sides; then again."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, ClassVar

import pytest
from django.apps import apps
from django.test import TestCase, override_settings
from django.utils import translation

from repairs.audit.actions import chain_faults
from repairs.audit.models import LogEntry, LogHead
from repairs.cases.custody_models import Custody
from repairs.cases.models import Case
from repairs.demo.scenario import Scenario, write_papers
from repairs.findings import actions as finding_actions
from repairs.photos.models import Photo
from repairs.photos.pairs import view_pairs
from repairs.press.models import Paper
from repairs.press.signing.keyfile import make_key
from repairs.readings.setup.gathering import line_of
from repairs.readings.setup.standing import State
from repairs.treatment.models import AgreedWork, Intervention, StepNote, WorkSpell
from repairs.treatment.outcome_models import Achieved
from repairs.treatment.part_models import RemovedPart
from repairs.wood.models import Piece

SMALL = 320


def play() -> list[Case]:
    return Scenario(password="un-mot-long-1771", say=lambda _words: None, long_side_px=SMALL).play()


def rows() -> dict[str, int]:
    models: list[Any] = apps.get_models()
    return {model.__name__: model.objects.count() for model in models}


def kinds(case: Case) -> set[str]:
    return set(Paper.objects.filter(subject=case.log_key).values_list("kind", flat=True))


class TestScenario(TestCase):
    """Django's own class: it plays once for all tests, in one process (``tests/together.py``)."""

    media: ClassVar[Path]
    cases: ClassVar[list[Case]]
    vielle: ClassVar[Case]

    @classmethod
    def setUpClass(cls) -> None:
        cls.media = Path(cls.enterClassContext(TemporaryDirectory()))
        key = cls.media / "seal-key.pem"
        make_key(key)
        cls.enterClassContext(override_settings(MEDIA_ROOT=cls.media / "media", SEAL_KEY_FILE=key))
        super().setUpClass()

    @classmethod
    def setUpTestData(cls) -> None:
        cls.cases = play()
        cls.vielle = cls.cases[0]

    def test_stays_stand_at_different_steps(self):
        assert [(case.number, case.step) for case in self.cases] == [
            ("2026-001", "handed_back"),
            ("2026-002", "reported"),
            ("2026-003", "taken_in"),
            ("2026-004", "on_bench"),
            ("2026-005", "handed_back"),
            ("2026-006", "looked_over"),
            ("2026-007", "looked_over"),
        ]

    def test_one_wheel_fiddle_is_looked_over_and_ready_to_be_measured(self):
        case = self.cases[5]

        assert "turn" in case.instrument.pattern.permissions
        assert (case.may_turn, case.may_string, case.may_play) == ("yes", "yes", "yes")
        assert not case.readings.exists()
        assert case.ended_at is None
        assert finding_actions.something_examined(case)

    def test_the_mended_wheel_fiddle_comes_back_to_be_set_up_in_order(self):
        case = self.cases[-1]
        setup, now = line_of(case)

        assert case.instrument == self.vielle.instrument
        assert setup is not None
        assert now is not None
        assert [one.step for one in setup.marks.filter(what="round")] == ["play"]
        assert {row.round for row in case.readings.all()} == {None, 1}
        states = {one.step.key: one.state for one in now.steps}
        assert states["dog"] == State.VOID  # a tangent was turned after it was read
        assert states["wheel"] == states["action"] == states["tangents"] == State.INSIDE
        assert Paper.objects.current("setup_sheet", case.log_key) is not None

    def test_the_set_up_sheet_of_the_first_stay_tells_its_last_readings(self):
        sheet = Paper.objects.current("setup_sheet", self.vielle.log_key)

        assert sheet is not None
        assert sheet.version == 1
        said = json.dumps(sheet.data["content"], ensure_ascii=False)
        assert "roue" in said

    def test_the_first_stay_goes_the_whole_way_in_the_order_of_its_days(self):
        moves = list(self.vielle.moves.order_by("at", "pk"))

        steps = [move.step for move in moves]
        assert steps == ["taken_in", "looked_over", "agreed", "on_bench", "proved", "handed_back"]
        assert [move.at for move in moves] == [move.at for move in self.vielle.moves.order_by("pk")]
        assert self.vielle.custody.get(until=None).holder == Custody.Holder.OWNER

    def test_papers_and_what_ends_a_stay_are_logged_in_the_order_of_their_days(self):
        verbs = ("paper.issued", "part.fate", "return.written", "case.handed_back", "case.moved")
        for case in self.cases:
            lines = LogEntry.objects.filter(subject=case.log_key, verb__in=verbs).order_by("seq")
            days = list(lines.values_list("at", flat=True))
            assert days == sorted(days)

    def test_a_report_of_before_the_return_does_not_say_that_the_bags_were_given_back(self):
        report = Paper.objects.current("treatment_report", self.vielle.log_key)
        receipt = Paper.objects.current("return_receipt", self.vielle.log_key)
        assert report is not None
        assert receipt is not None

        with translation.override(report.language):
            fates = {bag["fate"] for bag in report.data["content"]["bags"]}
            assert fates == {str(RemovedPart.Fate.KEPT.label)}
        assert all(
            p.fate_at and p.fate_at > report.issued_at for p in self.vielle.removed_parts.all()
        )
        assert receipt.data["content"]["given_back"]

    def test_the_first_stay_has_every_paper_of_its_kind(self):
        assert kinds(self.vielle) == {
            "intake_receipt",
            "condition_report",
            "estimate",
            "consent_record",
            "treatment_report",
            "material_statement",
            "care_sheet",
            "setup_sheet",
            "removed_parts",
            "return_receipt",
        }

    def test_the_first_stay_is_billed_from_its_work_below_the_ceiling(self):
        invoice = self.vielle.invoices.get()
        agreed = self.vielle.agreed_works.live().last()

        assert invoice.number == "FA-2026-0001"
        assert agreed is not None and agreed.ceiling is not None
        assert 0 < invoice.gross <= agreed.ceiling

    def test_the_owner_chose_among_three_options_and_signed(self):
        consent = self.vielle.consents.get()

        assert consent.estimate.options.count() == 3
        assert consent.option == consent.estimate.options.get(kind="playable")
        assert consent.signature
        assert consent.irreversible_agreed

    def test_every_work_is_signed_and_says_what_differed(self):
        works = Intervention.objects.filter(case=self.vielle)

        assert [work.version.key for work in works] == [
            "crack_reglue",
            "loose_bar",
            "wheel_recentring",
            "key_easing",
        ]
        assert all(work.is_signed for work in works)
        states = set(StepNote.objects.values_list("state", flat=True))
        assert {"done", "otherwise", "left_out"} <= states

    def test_what_lies_outside_is_signed_with_a_reason(self):
        rows_of_wheel = self.vielle.interventions.get(version__key="wheel_recentring").sign_off.rows

        outside = [row for row in rows_of_wheel if row["state"] == "outside"]
        assert [row["key"] for row in outside] == ["after.wheel"]
        assert all(row["reason"] for row in outside)

    def test_the_wheel_came_as_foreseen(self):
        found = Achieved.objects.get(intervention__case=self.vielle, figure="ecc_mm")

        assert found.done == pytest.approx(0.05)
        assert found.got == pytest.approx(found.expected, abs=0.005)

    def test_minutes_are_clocked_and_typed_and_no_clock_runs(self):
        assert set(WorkSpell.objects.values_list("typed", flat=True)) == {True, False}
        assert not WorkSpell.objects.filter(ended_at=None).exists()

    def test_the_views_are_paired_before_and_after(self):
        photos = self.vielle.photos.ready()

        assert set(photos.values_list("phase", flat=True)) == {"arrival", "during", "after"}
        assert {pair.after.view for pair in view_pairs(photos)} == {"front", "wheel", "keybox_open"}

    def test_no_paper_prints_an_inner_reference(self):
        report = Paper.objects.get(subject=self.vielle.log_key, kind="treatment_report")

        said = json.dumps(report.data, ensure_ascii=False)
        assert "(décision 1)" in said
        assert "consent:" not in said

    def test_the_cleats_come_out_of_the_store_and_one_piece_has_no_proof(self):
        cut = Piece.objects.get(number="W-0008").withdrawals.get()

        assert cut.new_part.intervention.case == self.vielle
        assert cut.volume_cm3 == Decimal("0.88")
        assert [piece.number for piece in Piece.objects.all() if piece.lacks_proof] == ["W-0007"]

    def test_one_stay_is_in_mid_work(self):
        agreed = AgreedWork.objects.filter(case__number="2026-004")

        begun = {row.version.key: row.interventions.exists() for row in agreed}
        assert begun == {"open_seam": True, "string_change": False}
        assert agreed[0].case.waits_for == "part"

    def test_every_paper_is_signed_by_the_workshop(self):
        house = "Atelier Sautarel-Moncey"
        signed = Paper.objects.filter(proofs__sort="signature", proofs__name=house)

        assert signed.count() == Paper.objects.count() > 0

    def test_every_photo_was_developed(self):
        assert set(Photo.objects.values_list("state", flat=True)) == {Photo.State.READY}

    def test_played_again_it_adds_nothing_and_writes_the_same_files(self):
        before, head = rows(), LogHead.objects.get().hash

        with override_settings(MEDIA_ROOT=self.media / "media"):  # not the store of one test
            first = write_papers(self.cases, self.media / "first")
            second = write_papers(play(), self.media / "second")

        assert rows() == before
        assert LogHead.objects.get().hash == head
        readme = (Path(__file__).parents[2] / "README.md").read_text()
        assert f"{len(first)} papers" in " ".join(readme.split())
        assert [one.name for one in first] == [other.name for other in second]
        assert [one.read_bytes() for one in first] == [other.read_bytes() for other in second]
        assert list(chain_faults()) == []
