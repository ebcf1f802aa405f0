"""The PDF checker itself: it must refuse what is wrong and pass what is right."""

import datetime as dt
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from weasyprint import HTML, Attachment
from weasyprint.document import Document

from tests.outside import verapdf
from tests.outside.warm import Warm

NOON = dt.datetime(2026, 3, 2, 12, tzinfo=dt.UTC)
PAGE = """
<html lang="fr"><head><title>Fiche de la roue</title></head>
<body><h1>Fiche de la roue</h1><p>Battement : 0,04 mm ± 0,01 mm.</p></body></html>
"""
UA_CLAIM = b"""
<rdf:Description rdf:about="" xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/">
  <pdfuaid:part>1</pdfuaid:part>
</rdf:Description>
<rdf:Description rdf:about=""
    xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/"
    xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#"
    xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">
  <pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">
    <pdfaSchema:schema>PDF/UA identification</pdfaSchema:schema>
    <pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>
    <pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>
    <pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType="Resource">
      <pdfaProperty:name>part</pdfaProperty:name>
      <pdfaProperty:valueType>Integer</pdfaProperty:valueType>
      <pdfaProperty:category>internal</pdfaProperty:category>
      <pdfaProperty:description>Part of PDF/UA this file follows</pdfaProperty:description>
    </rdf:li></rdf:Seq></pdfaSchema:property>
  </rdf:li></rdf:Bag></pdfaExtension:schemas>
</rdf:Description>
"""


@pytest.fixture
def plain(tmp_path: Path) -> Path:
    """An ordinary PDF that claims no standard."""
    path = tmp_path / "plain.pdf"
    HTML(string=PAGE).write_pdf(path)
    return path


@pytest.fixture
def archival(tmp_path: Path) -> Path:
    """A tagged PDF/A-3a that carries its data and says nothing of accessibility."""
    path = tmp_path / "archival.pdf"
    _tagged_document().write_pdf(path, pdf_variant="pdf/a-3a", pdf_identifier=b"control")
    return path


@pytest.fixture
def accessible(tmp_path: Path) -> Path:
    """The same, claiming PDF/UA-1 as well."""
    document = _tagged_document()
    own = document.metadata.generate_rdf_metadata

    def with_ua_claim(*args: object, **options: object) -> bytes:
        return own(*args, **options).replace(b"</rdf:RDF>", UA_CLAIM + b"</rdf:RDF>")

    document.metadata.generate_rdf_metadata = with_ua_claim
    path = tmp_path / "accessible.pdf"
    document.write_pdf(path, pdf_variant="pdf/a-3a", pdf_identifier=b"control")
    return path


def _tagged_document() -> Document:
    document = HTML(string=PAGE).render(pdf_tags=True)
    data = Attachment(
        string='{"run_out_mm": 0.04}',
        name="data.json",
        created=NOON,
        modified=NOON,
        relationship="Data",
    )
    document.metadata.attachments = [data]
    return document


def test_each_file_of_one_run_gets_its_own_verdict(plain, archival, accessible):
    found = verapdf.validate([plain, archival, accessible])

    assert "6.7.2.2-1" in _clauses(found["plain.pdf"]["3a"])
    assert "7.1-3" in _clauses(found["plain.pdf"]["ua1"])
    assert found["archival.pdf"]["3a"] == []
    assert _clauses(found["archival.pdf"]["ua1"]) == {"5-1"}
    assert found["accessible.pdf"] == {"3a": [], "ua1": []}


def _clauses(rules: list[str]) -> set[str]:
    return {rule.split()[0] for rule in rules}


def running() -> Warm:
    (engine,) = verapdf._running
    return engine


@pytest.fixture
def stands_in(monkeypatch) -> Iterator[Callable[[str], None]]:
    """A program in Python takes the engine's place, until the test ends."""

    def started(program: str) -> None:
        monkeypatch.setattr(verapdf, "_command", lambda: [sys.executable, "-c", program])

    yield started
    verapdf._end_engine()


def test_two_calls_use_one_engine_and_the_second_still_finds_what_is_wrong(plain, accessible):
    good = verapdf.validate([accessible])
    first = running()
    bad = verapdf.validate([plain])
    again = verapdf.validate([accessible])

    assert running() is first
    assert good == again == {"accessible.pdf": {"3a": [], "ua1": []}}
    assert "6.7.2.2-1" in _clauses(bad["plain.pdf"]["3a"])
    assert "7.1-3" in _clauses(bad["plain.pdf"]["ua1"])


def test_an_engine_killed_between_calls_is_started_anew(archival):
    before = verapdf.validate([archival])
    first = running()
    first.process.kill()
    first.process.wait()

    assert verapdf.validate([archival]) == before
    assert running() is not first


def test_an_engine_killed_during_a_call_gives_no_verdict(archival):
    verapdf.validate([archival])
    engine = running().process
    engine.send_signal(signal.SIGSTOP)  # so that the call cannot be over before its end comes
    killer = threading.Timer(0.3, engine.kill)
    killer.start()

    with pytest.raises(RuntimeError, match="ended without an answer, with exit code -9"):
        verapdf.validate([archival])

    killer.join()


def test_an_engine_that_is_late_gives_no_verdict_and_is_ended(archival, stands_in, monkeypatch):
    stands_in("input(); input()")
    engine = verapdf._engine().process
    monkeypatch.setattr(verapdf, "START_SECONDS", 0.1)
    monkeypatch.setattr(verapdf, "SECONDS_PER_FILE", 0.1)

    with pytest.raises(RuntimeError, match="took more than"):
        verapdf.validate([archival])

    assert engine.returncode == -signal.SIGKILL


def test_a_fork_starts_an_engine_of_its_own(plain, stands_in):
    verdict = "VERDICT\\t1\\t3a\\ttrue\\t9\\nEND\\t"
    stands_in(f"while line := input(): print('{verdict}' + line.split('\\t')[0], flush=True)")
    verapdf.validate([plain], ["3a"])
    first = running()
    copy = os.fork()
    if copy == 0:
        own = False
        try:
            verapdf.validate([plain], ["3a"])
            own = running() is not first and running().owner == os.getpid()
            verapdf._end_engine()
        finally:
            os._exit(0 if own else 1)

    assert os.waitstatus_to_exitcode(os.waitpid(copy, 0)[1]) == 0
    verapdf.validate([plain], ["3a"])
    assert running() is first


@pytest.mark.parametrize(
    "said",
    [
        "",
        "VERDICT\t1\t3a\ttrue\t0\n",
        "VERDICT\t2\t3a\ttrue\t9\n",
        "VERDICT\t1\t3a\tfalse\t9\n",
        "VERDICT\t1\t3a\ttrue\t9\nVERDICT\t1\t3a\ttrue\t9\n",
        "VERDICT\t1\t3a\ttrue\t9\nERROR\t1\t3a\tno memory\n",
        "VERDICT\t1\t3a\ttrue\t9\nsomething else\n",
    ],
)
def test_an_answer_that_is_no_clear_verdict_is_refused(plain, stands_in, said):
    end = said + "END\t1"
    stands_in(f"input(); print({end!r}, flush=True); input()")

    with pytest.raises(RuntimeError, match="veraPDF"):
        verapdf.validate([plain], flavours=["3a"])


def test_a_name_with_odd_letters_is_judged(archival):
    odd = archival.with_name("a b+%41,\t\n.pdf")
    archival.rename(odd)

    assert verapdf.validate([odd], flavours=["3a"]) == {odd.name: {"3a": []}}


def test_a_file_that_is_no_pdf_gets_no_verdict(tmp_path):
    torn = tmp_path / "torn.pdf"
    torn.write_bytes(b"not a PDF")

    with pytest.raises(RuntimeError, match="could not judge every file"):
        verapdf.validate([torn])


def test_an_unknown_flavour_is_refused(plain):
    with pytest.raises(RuntimeError, match="no such flavour"):
        verapdf.validate([plain], flavours=["9z"])


def test_nothing_to_validate_is_refused():
    with pytest.raises(ValueError, match="at least one file"):
        verapdf.validate([])


def test_missing_java_is_named_with_its_package(plain, monkeypatch):
    monkeypatch.setenv("PATH", "")

    with pytest.raises(RuntimeError, match="openjdk-17-jdk-headless"):
        verapdf.validate([plain])


def test_missing_jaxb_is_named_with_its_package(plain, monkeypatch, tmp_path):
    monkeypatch.setattr(verapdf, "DEBIAN_JARS", tmp_path)

    with pytest.raises(RuntimeError, match=r"jaxb-impl\.jar.*libjaxb-java"):
        verapdf.validate([plain])
