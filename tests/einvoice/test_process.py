"""The way to the process apart, without a process: time limits, memory, and how it is ended."""

from __future__ import annotations

import os
from typing import Any

import pytest

from repairs.einvoice.refusals import RulesNotRunError
from repairs.einvoice.rules import process as room
from repairs.einvoice.rules.process import MOST_MB, RulesProcess
from tests.einvoice.heard import heard


class Child:
    """A process that does nothing; it tells what is done with it."""

    pid = 4711

    def __init__(self) -> None:
        self.told: list[str] = []
        self.stdin = self.stdout = self

    def kill(self) -> None:
        self.told.append("kill")

    def wait(self) -> None:
        self.told.append("wait")

    def close(self) -> None:
        self.told.append("close")


@pytest.fixture
def child() -> Child:
    return Child()


@pytest.fixture
def running(monkeypatch, child) -> RulesProcess:
    """A house whose process runs and answers whatever ``answers`` holds."""
    process: Any = RulesProcess()
    process._child, process._owner = child, os.getpid()
    process.answers, process.deadlines, process.sent = [b"{}"], [], []

    def read(_child: Any, deadline: float) -> bytes:
        process.deadlines.append(deadline)
        return process.answers.pop(0)

    monkeypatch.setattr(process, "_running", lambda: process._child)
    monkeypatch.setattr(room, "_write", lambda _child, *said: process.sent.append(said))
    monkeypatch.setattr(room, "_read_line", read)
    return process


@pytest.mark.parametrize(
    ("answer", "ended"),
    [
        (b'{"ran": {}}', False),
        (f'{{"ran": {{}}, "peak_mb": {MOST_MB}}}'.encode(), False),
        (f'{{"ran": {{}}, "peak_mb": {MOST_MB + 1}}}'.encode(), True),
    ],
)
def test_a_process_that_has_grown_is_let_go_after_its_answer(running, child, answer, ended):
    running.answers = [answer]

    assert running.ask({}) == {"ran": {}}
    assert child.told == (["kill", "wait", "close", "close"] if ended else [])
    assert running.pid == (None if ended else 4711)


@pytest.mark.parametrize("answer", [b"nonsense", b"[]"])
def test_nonsense_ends_the_process(running, child, answer):
    running.answers = [answer]

    with pytest.raises(RulesNotRunError, match="spoke nonsense"):
        running.ask({})
    assert child.told[:2] == ["kill", "wait"]
    assert running.pid is None


def test_a_fault_is_told_and_the_next_question_is_heard(running, child):
    running.answers = [b'{"fault": "out of breath"}', b'{"ran": {}}']

    with pytest.raises(RulesNotRunError, match="out of breath"):
        running.ask({})
    assert running.ask({}, limit_s=1) == {"ran": {}}
    assert child.told == []


def test_the_answer_is_waited_for_until_the_limit_is_over(running, monkeypatch):
    monkeypatch.setattr("repairs.einvoice.rules.process.time.monotonic", lambda: 100.0)

    running.ask({"task": "rules"}, limit_s=7.0)

    assert running.deadlines == [107.0]
    assert running.sent == [(b'{"task": "rules"}\n', 107.0)]


def test_too_many_at_once_are_told_so(running):
    with running._lock, pytest.raises(RulesNotRunError, match="too many invoices"):
        running.ask({}, limit_s=0.01)

    assert running.ask({}, limit_s=0.01) == {}


def test_a_copy_of_the_server_does_not_end_the_process_of_its_parent(child):
    process: Any = RulesProcess()
    process._child, process._owner = child, os.getpid() + 1

    process.stop()

    assert child.told == []
    assert process.pid is None


def test_to_stop_nothing_is_nothing():
    process = RulesProcess()

    process.stop()

    assert process.pid is None


@pytest.mark.parametrize(("deadline", "left"), [(130.0, 30.0), (100.0, 0.0), (90.0, 0.0)])
@pytest.mark.parametrize("way", ["reading", "writing"])
def test_what_is_left_of_the_limit_is_waited_and_no_longer(monkeypatch, deadline, left, way):
    told: list[Any] = []
    nobody: tuple[list[int], ...] = ([], [], [])
    monkeypatch.setattr("repairs.einvoice.rules.process.time.monotonic", lambda: 100.0)
    monkeypatch.setattr(
        "repairs.einvoice.rules.process.select.select", lambda *said: heard(told, said, nobody)
    )

    with pytest.raises(RulesNotRunError, match="did not answer in time"):
        room._wait(deadline, **{way: 5})
    assert told == [([5], [], [], left) if way == "reading" else ([], [5], [], left)]


def test_an_answer_in_pieces_is_put_together(child, monkeypatch):
    monkeypatch.setattr(RulesProcess, "_pipe", staticmethod(lambda _pipe: 5))
    waited: list[Any] = []
    monkeypatch.setattr(room, "_wait", lambda *_said, **more: waited.append(more))
    pieces = [b'{"ran"', b": {}}\n"]
    monkeypatch.setattr(
        "repairs.einvoice.rules.process.os.read", lambda _pipe, _most: pieces.pop(0)
    )

    assert room._read_line(child, 0.0) == b'{"ran": {}}\n'
    assert waited == [{"reading": 5}] * 2
    monkeypatch.setattr("repairs.einvoice.rules.process.os.read", lambda _pipe, _most: b"")
    with pytest.raises(OSError, match="the worker ended"):
        room._read_line(child, 0.0)


def test_a_long_question_goes_out_in_pieces(child, monkeypatch):
    monkeypatch.setattr(RulesProcess, "_pipe", staticmethod(lambda _pipe: 5))
    waited: list[Any] = []
    monkeypatch.setattr(room, "_wait", lambda *_said, **more: waited.append(more))
    sent: list[bytes] = []

    def write(_pipe: int, data: memoryview) -> int:
        sent.append(bytes(data[:40_000]))
        return len(sent[-1])

    monkeypatch.setattr("repairs.einvoice.rules.process.os.write", write)

    room._write(child, b"x" * 100_000, 0.0)

    assert [len(one) for one in sent] == [40_000, 40_000, 20_000]
    assert waited == [{"writing": 5}] * 3


def test_a_process_without_a_pipe_is_a_fault(tmp_path):
    with (tmp_path / "file").open("wb") as file:
        assert RulesProcess._pipe(file) == file.fileno()
    with pytest.raises(OSError, match="no pipe"):
        RulesProcess._pipe(None)
