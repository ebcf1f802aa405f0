"""Pages and papers speak one language: that of their reader, or of the owner."""

import html
import os
import re
import shutil
import subprocess
import sys
from collections import defaultdict
from collections.abc import Iterator, Mapping
from functools import cache, partial
from pathlib import Path

import pypdf
import pytest
from django.urls import reverse

from repairs.cases.compile import intake_receipt
from repairs.language.text import LANGUAGES
from repairs.papers.kinds import KINDS, compile_paper
from repairs.people.models import Client
from repairs.press.render import render
from repairs.readings.sheets.catalogue import SHEETS
from tests import factories
from tests.conftest import NOW
from tests.whole.catalogue import HOUSE, of_catalogue, of_fixtures

NOT_COMPILED = shutil.ignore_patterns("__pycache__", "*.mo")
ANY_PLACEHOLDER = re.compile(r"%\(\w+\)[sd]")
Gram = tuple[str, str, str]
WOOD = ("piece", "edit", "test", "take", "offcut")


def plain(text: str) -> str:
    """The text with one ordinary space between words, in lower case."""
    return " ".join(html.unescape(text).split()).casefold()


@cache
def phrases(language: str) -> Mapping[Gram, list[str]]:
    """Unbroken stretches of three words or more, by their first three; none of both languages."""
    found: defaultdict[Gram, list[str]] = defaultdict(list)
    other = "fr" if language == "en" else "en"
    shared = {*stretches(other)}
    for phrase in {*stretches(language)} - shared:
        found[grams(phrase)[0]].append(phrase)
    return found


def stretches(language: str) -> Iterator[str]:
    for sentence in (*of_catalogue(language), *of_fixtures(language)):
        for stretch in ANY_PLACEHOLDER.split(sentence):
            phrase = plain(stretch.strip(" ,;:.()“”«»\u00a0\u202f"))
            if grams(phrase):
                yield phrase


def grams(text: str) -> list[Gram]:
    words = re.findall(r"[^\W\d_]+", text)
    return list(zip(words, words[1:], words[2:], strict=False))


def said_in(language: str, text: str) -> list[str]:
    """The sentences of that language that the text shows."""
    shown, known = plain(text), phrases(language)
    begun = {gram for gram in grams(shown) if gram in known}
    return sorted({phrase for gram in begun for phrase in known[gram] if phrase in shown})


english_in = partial(said_in, "en")
french_in = partial(said_in, "fr")


@pytest.fixture
def helene(db):
    return factories.person("helene", "principal", language="fr")


@pytest.fixture
def stay(house, case, photo, finding, armand):
    """A case with a tagged photo, a finding and a general judgement: every section has words."""
    factories.tag(photo, finding, by=armand)
    factories.examination(case, by=armand)
    piece = factories.piece(by=armand, material="rosewood_brazilian")
    factories.wood_test(piece, by=armand)
    factories.withdrawal(piece, by=armand)
    return case


def addresses(stay, language: str = "fr") -> dict[str, str]:
    number, instrument = stay.number, stay.instrument.number
    photo, finding = stay.photos.get(), stay.findings.get()
    return {
        "bench": reverse("bench:home"),
        "case": stay.get_absolute_url(),
        "intake form": reverse("cases:edit", args=[number]),
        "intake of a known instrument": reverse("cases:take_in", args=[instrument]),
        "receipt": reverse("cases:receipt", args=[number]) + f"?language={language}",  # or theirs
        "new finding": reverse("findings:add", args=[number]),
        "finding": finding.get_absolute_url(),
        "general judgement": reverse("findings:look_over", args=[number]),
        "parts looked at": reverse("findings:parts", args=[number]),
        "photo": photo.get_absolute_url(),
        "photos": reverse("photos:add", args=[number]),
        "return": reverse("papers:return", args=[number]),
        **{kind: reverse("papers:make", args=[number, kind]) for kind in KINDS},
        "papers": reverse("papers:list"),
        "instrument": stay.instrument.get_absolute_url(),
        "instrument form": reverse("instruments:edit", args=[instrument]),
        "owner": reverse("people:client", args=[stay.owner_id]),
        "house": reverse("people:house"),
        "readings": reverse("readings:choose", args=[number]),
        "causes": reverse("readings:diagnosis", args=[number]) + "?symptom=swells_once",
        "wood": reverse("wood:list"),
        "wood form": reverse("wood:add"),
        **{f"wood {name}": reverse(f"wood:{name}", args=["W-0001"]) for name in WOOD},
        "tools": reverse("readings:tools"),
        "limits": reverse("readings:limits"),
        **{gauge: sheet_address(gauge, stay) for gauge in SHEETS},
    }


def sheet_address(gauge: str, stay) -> str:
    read = factories.read_with(gauge, stay, by=stay.received_by)
    return reverse("readings:take", args=[read.number, gauge])


def test_the_english_phrases_are_told_when_they_are_there():
    assert english_in("<p>Photos that\n identify&#32;it</p>") == ["photos that identify it"]
    assert english_in("<p>Photos qui l’identifient</p>") == []
    assert french_in("<p>Photos qui\n&#32;l’identifient</p>") == ["photos qui l’identifient"]


def test_no_page_of_a_french_reader_shows_an_english_sentence(client, stay, helene):
    """What is proposed for a paper of the owner is in the owner’s language: French, too, here."""
    client.force_login(helene)
    Client.objects.update(language="fr")

    shown = {name: client.get(address) for name, address in addresses(stay).items()}

    assert {name: page.status_code for name, page in shown.items() if page.status_code != 200} == {}
    assert all('<html lang="fr">' in page.content.decode() for page in shown.values())
    left = {name: english_in(page.content.decode()) for name, page in shown.items()}
    assert {name: phrases for name, phrases in left.items() if phrases} == {}


def test_no_page_of_an_english_reader_shows_a_french_sentence(client, stay):
    client.force_login(factories.person("oona", "principal", language="en"))
    Client.objects.update(language="en")

    left = {name: french_in(client.get(page).text) for name, page in addresses(stay, "en").items()}

    assert {name: phrases for name, phrases in left.items() if phrases} == {}


def test_a_refused_form_explains_itself_in_french(client, stay, helene):
    client.force_login(helene)

    page = client.post(reverse("findings:add", args=[stay.number]), {"extent_value": "un peu"})

    words = page.content.decode()
    assert "rien n’est encore enregistré" in plain(words)
    assert "« un peu » n’est pas un nombre" in plain(words)
    assert english_in(words) == []


@pytest.mark.parametrize("name", ["people:sign_in", "press:verify"])
def test_a_french_stranger_is_met_in_french(client, house, name: str):
    page = client.get(reverse(name), headers={"accept-language": "fr"}).content.decode()

    assert '<html lang="fr">' in page
    assert english_in(page) == []


def words_of_pdf(pdf: bytes, tmp_path: Path) -> str:
    file = tmp_path / "paper.pdf"
    file.write_bytes(pdf)
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(file).pages)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize(
    ("make", "titles"),
    [
        (intake_receipt, {"fr": "reçu de dépôt", "en": "intake receipt"}),
        (
            partial(compile_paper, "condition_report"),
            {"fr": "constat d’état", "en": "condition report"},
        ),
    ],
)
def test_a_paper_has_no_sentence_of_the_other_language(
    stay, tmp_path: Path, make, titles: dict[str, str], language: str
):
    pdf, _pages = render(make(stay, language=language, made_at=NOW))

    words = words_of_pdf(pdf, tmp_path)

    assert titles[language] in plain(words)
    assert said_in("en" if language == "fr" else "fr", words) == []


def test_a_first_start_already_speaks_french(tmp_path):
    """The .mo files are not in the repository: the process that makes them must use them too."""
    for name in ("manage.py", "workshop", "repairs", "templates", "fixtures"):
        source = HOUSE / name
        if source.is_dir():
            shutil.copytree(source, tmp_path / name, ignore=NOT_COMPILED)
        else:
            shutil.copy(source, tmp_path / name)
    script = (
        "from django.utils.translation import gettext, override\n"
        "with override('fr'): print(gettext('Findings'))"
    )
    environment = {
        **os.environ,
        "SAUTEREAU_NO_BOOTSTRAP": "1",  # the packages are there
        "SAUTEREAU_DATA": str(tmp_path / "data"),
    }

    said = subprocess.run(
        [sys.executable, "manage.py", "shell", "--no-imports", "-c", script],
        cwd=tmp_path,
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )

    assert said.stdout.strip() not in ("", "Findings")
