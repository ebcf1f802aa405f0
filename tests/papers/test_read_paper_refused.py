"""What ``read_paper`` can only read in part, and what it cannot read: one sentence each."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import pikepdf
import pytest
from django.core.management import call_command
from django.utils import translation

from repairs.language.text import LANGUAGES
from repairs.press.document import EARLIER_FORMATS, FORMAT
from tests.papers.carrying import condition, read, reading_of, reports, spoilt, with_file

__all__ = ["condition", "read", "reports"]

pytestmark = pytest.mark.django_db


def test_a_paper_of_the_first_format_is_read_and_said_to_carry_words_only(condition, read):
    def change(data: dict[str, Any]) -> None:
        data["format"] = EARLIER_FORMATS[0]
        del data["data"]

    code, said, err = read(spoilt(condition, change))

    assert (code, said["figures"], said["format"]) == (1, [], "sautereau-paper/1")
    assert said["paper"]["content"]["readings"]
    assert "no figure of it can be computed anew" in err


def test_a_paper_without_readings_is_read_and_nothing_is_claimed(condition, read):
    def change(data: dict[str, Any]) -> None:
        data["kind"] = "care_sheet"
        del data["data"]

    code, said, err = read(spoilt(condition, change))

    assert (code, said["figures"]) == (0, [])
    assert "there is nothing to compute anew" in err


def encrypted(pdf: bytes) -> bytes:
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        document.save(out, encryption=pikepdf.Encryption(owner="o", user="u"))
    return out.getvalue()


def bare(pdf: bytes) -> bytes:
    return with_file(with_file(pdf, lambda _content: None), lambda _content: None, ".json")


def other_json(pdf: bytes) -> bytes:
    return with_file(pdf, lambda _content: b'{"format": "another"}')


def set_to(**values: Any) -> Callable[[bytes], bytes]:
    return lambda pdf: spoilt(pdf, lambda data: data.update(values))


def without(name: str) -> Callable[[bytes], bytes]:
    return lambda pdf: spoilt(pdf, lambda data: data.pop(name))


def twice(pdf: bytes) -> bytes:
    return spoilt(pdf, lambda data: data["data"]["readings"].append(data["data"]["readings"][0]))


def exchanged(pdf: bytes) -> bytes:
    return spoilt(pdf, lambda data: reading_of(data, "wheel")["figures"][0].update(lower=9.0))


BAD: dict[str, tuple[Callable[[bytes], bytes], str, str]] = {
    "empty": (lambda _pdf: b"", "is not a PDF", "n’est pas un PDF"),
    "words": (lambda _pdf: b"plain words", "is not a PDF", "n’est pas un PDF"),
    "a picture": (lambda _pdf: b"\xff\xd8\xff\xe0JFIF", "is not a PDF", "n’est pas un PDF"),
    "cut short": (lambda pdf: pdf[: len(pdf) // 2], "is damaged", "est abîmé"),
    "a head only": (lambda _pdf: b"%PDF-1.7\n", "is damaged", "est abîmé"),
    "encrypted": (encrypted, "is encrypted", "est chiffré"),
    "nothing inside": (bare, "carries no data", "n’emporte pas de données"),
    "another's data": (other_json, "carries no data", "n’emporte pas de données"),
    "no JSON": (
        lambda pdf: with_file(pdf, lambda content: content[:-40]),
        "cannot be read as JSON",
        "ne se lit pas comme du JSON",
    ),
    "not UTF-8": (
        lambda pdf: with_file(pdf, lambda _content: b"\xff\xfe{}"),
        "cannot be read as JSON",
        "ne se lit pas comme du JSON",
    ),
    "not a number": (
        lambda pdf: with_file(pdf, lambda _content: b'{"x": NaN}'),
        "cannot be read as JSON: NaN",
        "ne se lit pas comme du JSON",
    ),
    "endless brackets": (
        lambda pdf: with_file(pdf, lambda _content: b"[" * 200_000),
        "cannot be read as JSON",
        "ne se lit pas comme du JSON",
    ),
    "a later format": (
        set_to(format="sautereau-paper/9"),
        "in the format “sautereau-paper/9”, and this program reads “sautereau-paper/2”",
        "au format « sautereau-paper/9 »",
    ),
    "a report without data": (
        without("data"),
        "the data it carries is not whole: “data” is no object",
        "ne sont pas entières",
    ),
    "an empty object": (set_to(data={}), "“data.case” is missing", "« data.case » manque"),
    "limits exchanged": (exchanged, "“tir_mm” has its limits the wrong", "ses limites à l’envers"),
    "a number twice": (twice, "“data.readings” has number", "« data.readings » a deux fois"),
}


@pytest.mark.parametrize("case", BAD)
@pytest.mark.parametrize("language", LANGUAGES)
def test_what_cannot_be_read_is_told_in_one_sentence(condition, read, case, language):
    spoil, english, french = BAD[case]

    with translation.override(language):
        code, said, err = read(spoil(condition))

    words = err.replace("\u00a0", " ").replace("\u202f", " ")
    assert (code, said) == (2, {})
    assert words.startswith(("“report.pdf”", "« report.pdf »"))
    assert (english if language == "en" else french) in words
    assert err.count("\n") == 1


def test_a_file_that_is_not_there_and_no_file_at_all_are_told(tmp_path, capsys):
    for words, said in (
        ([str(tmp_path / "none.pdf")], "there is no such file."),
        ([str(tmp_path)], "it is a folder."),
        ([], "Name the PDF of a report."),
    ):
        with pytest.raises(SystemExit) as end:
            call_command("read_paper", *words)
        assert end.value.code == 2
        assert said in capsys.readouterr().err


def test_the_format_is_the_second_and_the_first_is_known():
    assert FORMAT == "sautereau-paper/2"
    assert EARLIER_FORMATS == ("sautereau-paper/1",)
