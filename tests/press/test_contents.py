"""A long paper has a table of contents, a short one none, however its length was guessed."""

from __future__ import annotations

import io

import pypdf
import pytest

from repairs.press import contents, render

PLACE = '<nav class="contents"><p class="contents-title">Contents</p><!--contents--></nav>'


def page(sections: int, place: str = PLACE) -> str:
    """So many sections, each on a page of its own."""
    style = "<style>h2 { break-after: page }</style>"
    headings = "".join(f"<h2>Wood &amp; <em>glue</em> {n}</h2>" for n in range(1, sections + 1))
    return render.styled(
        f"<html lang='en'><head>{style}</head><body>{place}{headings}</body></html>"
    )


def laid_out(html: str) -> pypdf.PdfReader:
    fetcher = render.HouseFetcher(allowed_protocols={"file"}, fail_on_errors=True)
    return pypdf.PdfReader(io.BytesIO(render._laid_out(html, fetcher).write_pdf()))


def targets(reader: pypdf.PdfReader) -> list[str]:
    found = [one.get_object() for page in reader.pages for one in page.get("/Annots", [])]
    return list(dict.fromkeys(str(one["/Dest"]) for one in found))  # a line may have several


@pytest.mark.parametrize("guess", [True, False])
@pytest.mark.parametrize(("sections", "listed"), [(7, False), (8, True), (9, True)])
def test_the_pages_decide_whatever_was_guessed(monkeypatch, guess, sections, listed):
    monkeypatch.setattr(contents, "seems_long", lambda _html: guess)

    reader = laid_out(page(sections))

    assert len(reader.pages) == sections
    assert targets(reader) == [f"section-{n}" for n in range(1, sections + 1) if listed]
    assert ("Contents" in reader.pages[0].extract_text()) is listed


def test_each_line_has_its_heading_as_it_is_said_and_its_page():
    reader = laid_out(page(9))

    words = " ".join(reader.pages[0].extract_text().split())
    for number in range(1, 10):
        assert f"Wood & glue {number}" in words
        place = reader.named_destinations[f"section-{number}"]
        assert reader.get_destination_page_number(place) == number - 1


def test_a_paper_without_a_place_for_it_has_none():
    assert targets(laid_out(page(9, place=""))) == []
    assert not contents.has_place(page(9, place=""))


def test_smaller_headings_are_not_listed():
    html = f'{PLACE}<h2>One</h2><h2 class="under">Under it</h2>'

    assert contents.with_contents(html).count("<li>") == 1
    assert contents.without_contents(html) == '<h2>One</h2><h2 class="under">Under it</h2>'
