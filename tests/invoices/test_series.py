"""The lock of a series, without another process: waiting, giving up, giving back; its numbers."""

from __future__ import annotations

import datetime as dt
from types import SimpleNamespace

import pytest

from repairs.invoices import series
from repairs.invoices.refusals import SeriesBusyError
from repairs.invoices.series import Place, _key, alone, propose, take
from tests import factories

AT = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)


class Server:
    """A PostgreSQL that gives an advisory lock at the so many-th question."""

    vendor = "postgresql"

    def __init__(self, gives_at: int) -> None:
        self.asked: list[str] = []
        self.gives_at = gives_at

    def cursor(self) -> Server:
        return self

    def __enter__(self) -> Server:
        return self

    def __exit__(self, *_said: object) -> None:
        """Nothing to close."""

    def execute(self, question: str, said: list[int]) -> None:
        self.asked.append(f"{question.partition('(')[0]} {said[0] == _key('FA')}")

    def fetchone(self) -> tuple[bool]:
        return (len(self.asked) >= self.gives_at,)


@pytest.fixture
def clock(monkeypatch) -> list[float]:
    """A clock that goes only while somebody sleeps; the sleeps are kept."""
    slept: list[float] = []
    told = SimpleNamespace(monotonic=lambda: sum(slept), sleep=slept.append)
    monkeypatch.setattr(series, "time", told)
    return slept


ASKS, GIVES_BACK = "SELECT pg_try_advisory_lock True", "SELECT pg_advisory_unlock True"


def test_on_a_server_the_lock_is_asked_for_until_it_is_given_then_given_back(monkeypatch, clock):
    server = Server(gives_at=3)
    monkeypatch.setattr(series, "connection", server)

    with alone("FA"):
        assert server.asked == [ASKS] * 3

    assert server.asked == [ASKS] * 3 + [GIVES_BACK]
    assert clock == [series.PAUSE_S] * 2


def test_on_a_server_the_lock_is_given_back_when_the_issue_breaks(monkeypatch, clock):
    server = Server(gives_at=1)
    monkeypatch.setattr(series, "connection", server)

    with pytest.raises(RuntimeError, match="lamp"), alone("FA"):
        raise RuntimeError("the lamp went out")

    assert server.asked == [ASKS, GIVES_BACK]


def test_who_waits_longer_than_the_patience_is_told_and_holds_nothing(monkeypatch, clock):
    server = Server(gives_at=9999)
    monkeypatch.setattr(series, "connection", server)

    with pytest.raises(SeriesBusyError, match="FA"), alone("FA", patience_s=0.1):
        pytest.fail("the series was held")

    assert 0.1 < sum(clock) < 0.15
    assert GIVES_BACK not in server.asked


def test_the_folder_of_the_locks_is_made_where_it_is_missing(settings, tmp_path):
    settings.DATA_DIR = tmp_path / "not" / "there"

    for _time in range(2):
        with alone("FA"):
            assert (settings.DATA_DIR / "locks" / "series-FA.lock").is_file()


def test_the_key_of_a_series_fills_63_bits_and_no_more():
    """What a bigint of PostgreSQL holds above zero."""
    keys = [_key(f"F{number}") for number in range(64)]

    assert len(set(keys)) == 64
    assert 2**62 < max(keys) < 2**63
    assert min(keys) >= 0


def test_two_papers_of_one_moment_are_numbered_one_after_the_other(payer, helene):
    drafts = [factories.draft(payer, by=helene) for _hand in range(2)]

    numbers = [factories.issued(draft, by=helene, at=AT).number for draft in drafts]

    assert numbers == ["FA-2026-0001", "FA-2026-0002"]


def test_the_last_number_and_its_moment_are_kept(db):
    take(propose("FA", AT), AT)
    row = take(propose("FA", AT), AT)

    row.refresh_from_db()
    assert (row.last, row.last_at, row.year) == (2, AT, 2026)
    assert propose("FA", AT) == Place("FA", 2026, 3)
    assert propose("AV", AT) == Place("AV", 2026, 1)
