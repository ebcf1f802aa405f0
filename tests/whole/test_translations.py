"""The French catalogue is whole, keeps to French typography, and reaches every page and paper."""

import html
import json
import os
import re
import shutil
import subprocess
import sys
from collections import defaultdict
from collections.abc import Iterator, Mapping
from functools import cache, partial
from pathlib import Path
from typing import Any

import polib
import pypdf
import pytest
from django.conf import settings as house_settings
from django.core.management import call_command
from django.urls import reverse
from django.utils import translation

from repairs.cases.compile import intake_receipt
from repairs.language.text import LANGUAGES
from repairs.papers.kinds import KINDS, compile_paper
from repairs.people.models import Client
from repairs.press.render import render
from repairs.readings.sheets.catalogue import SHEETS
from repairs.screens.scripts import words_of
from tests import factories
from tests.conftest import NOW

LOCALE = house_settings.LOCALE_PATHS[0]

HOUSE = Path(house_settings.BASE_DIR)
CATALOGUE = LOCALE / "fr" / "LC_MESSAGES" / "django.po"
SOURCES = ("repairs", "templates", "workshop")
REFRESH = (
    "Run manage.py makemessages -l fr --no-location --no-obsolete -i .venv -i .data -i tests, "
    "then translate."
)
NOT_SOURCE = shutil.ignore_patterns("__pycache__", "static", "locale", "*.mo")
NOT_COMPILED = shutil.ignore_patterns("__pycache__", "*.mo")
GETTEXT_PROGRAMS = ("xgettext", "msguniq", "msgmerge", "msgattrib")
TOOLS = ("select", "point", "line", "polygon")

PLACEHOLDER = re.compile(r"%\(\w+\)[sd]|%%")
ANY_PLACEHOLDER = re.compile(r"%\(\w+\)[sd]")
STRAIGHT_APOSTROPHE = re.compile(r"\w'|'\w")
STRAIGHT_QUOTE = re.compile('["“”]')
NO_SPACE_BEFORE = re.compile(r"(?<![\u202f?!])[;?!]|(?<!\u00a0)[:»](?!//|\d)")
NO_SPACE_AFTER = re.compile("«(?!\u00a0)")
NO_SPACE_IN_MEASURE = re.compile(r"(?:%\(\w+\)s|\d) (?:mm|min|°C|EUR|%)(?!\w)")
# What a French luthier or an editor would not say, and what is said in its place.
NEVER = {
    r"touches? dures?": "touche qui coince",
    r"faux-ronds?": "battement",
    r"tr/min": "tours/min",
    r"bas de la fourchette": "montant le plus bas",
    r"pendant que le client attend": "au comptoir",
    r"sur le moment": "au comptoir",
    r"l[ea] rendre (jouable|sûre?|prête?)": "remise en état de jeu",
    r"sûrement": "à coup sûr: the word has come to mean “probably”",
    r"parois du clavier": "flancs du clavier",
    r"colle animale": "colle de peau",
    r"créditer|crédité": "faire un avoir",
    r"extourn\w*": "contre-passer",
    r"taxe comprise": "TTC, toutes taxes comprises",
    r"dans (l’avenir|le futur)": "à venir",
    r"angle de brisure": "angle de la corde au chevalet",
    r"défiguré": "d’aspect altéré",
    r"compter avec un permis": "prévoir un permis",
    r"retourner (le bandage|la roue)": "rectifier",
}
HYPHEN_RANGE = re.compile(r"\d{4}-\d{4}")
Gram = tuple[str, str, str]
WOOD = ("piece", "edit", "test", "take", "offcut")


def entries() -> list[polib.POEntry]:
    return [entry for entry in polib.pofile(str(CATALOGUE)) if not entry.obsolete]


def pairs(entry: polib.POEntry) -> list[tuple[str, str]]:
    """Each source sentence of the entry beside its translation."""
    if not entry.msgid_plural:
        return [(entry.msgid, entry.msgstr)]
    sources = (entry.msgid, entry.msgid_plural)
    return [(sources[form], text) for form, text in sorted(entry.msgstr_plural.items())]


def named(entry: polib.POEntry) -> tuple[str, str, str]:
    return (entry.msgctxt or "", entry.msgid, entry.msgid_plural)


# The sources and the catalogue ---------------------------------------------------------------


@pytest.fixture
def extracted(tmp_path: Path, settings, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A catalogue drawn afresh from a copy of the sources: drawing leaves files beside them."""
    missing = [name for name in GETTEXT_PROGRAMS if shutil.which(name) is None]
    if missing:
        pytest.fail(
            f"{', '.join(missing)} cannot be run, so the sentences of the sources cannot be "
            "gathered. Install the Debian package gettext."
        )
    copy = tmp_path / "house"
    for name in SOURCES:
        shutil.copytree(HOUSE / name, copy / name, ignore=NOT_SOURCE)
    locale = copy / "repairs" / "locale"
    locale.mkdir()
    settings.LOCALE_PATHS = [locale]
    monkeypatch.chdir(copy)

    call_command("makemessages", locale=["fr"], no_location=True, verbosity=0)

    return locale / "fr" / "LC_MESSAGES" / "django.po"


def test_the_catalogue_holds_the_sentences_of_the_sources_and_no_others(extracted: Path):
    wanted = {named(entry) for entry in polib.pofile(str(extracted))}

    held = {named(entry) for entry in entries()}

    assert not wanted - held, f"Not in the catalogue yet. {REFRESH}"
    assert not held - wanted, f"No longer in the sources. {REFRESH}"


def test_nothing_is_left_fuzzy_empty_or_obsolete():
    catalogue = polib.pofile(str(CATALOGUE))

    assert catalogue.fuzzy_entries() == []
    assert catalogue.obsolete_entries() == []
    assert [e.msgid for e in entries() if not all(text for _source, text in pairs(e))] == []


def test_french_has_two_forms_of_number():
    catalogue = polib.pofile(str(CATALOGUE))

    assert catalogue.metadata["Plural-Forms"] == "nplurals=2; plural=(n > 1);"
    assert {len(e.msgstr_plural) for e in entries() if e.msgid_plural} == {2}


def test_each_translation_keeps_the_placeholders_of_its_sentence():
    changed = [
        (source, text)
        for entry in entries()
        for source, text in pairs(entry)
        if sorted(PLACEHOLDER.findall(source)) != sorted(PLACEHOLDER.findall(text))
    ]

    assert changed == []


# French ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fault", "pattern"),
    [
        ("a straight apostrophe", STRAIGHT_APOSTROPHE),
        ("an English or straight quotation mark", STRAIGHT_QUOTE),
        ("no no-break space before : ; ? ! or »", NO_SPACE_BEFORE),
        ("no no-break space after «", NO_SPACE_AFTER),
        ("a number that may part from its unit", NO_SPACE_IN_MEASURE),
        ("a hyphen between two years", HYPHEN_RANGE),
        ("two spaces where the source has none", re.compile(r"[.,:] {2}")),
    ],
)
def test_the_typography_is_french(fault: str, pattern: re.Pattern[str]):
    faulty = [text for e in entries() for _source, text in pairs(e) if pattern.search(text)]

    assert faulty == [], fault


@pytest.mark.parametrize("wrong", NEVER)
def test_no_word_of_the_trade_is_said_wrongly(wrong: str):
    pattern = re.compile(rf"(?<!\w)(?:{wrong})(?!\w)", re.I)
    said = [*of_catalogue("fr"), *of_fixtures("fr")]

    assert [words for words in said if pattern.search(words)] == [], NEVER[wrong]


@pytest.mark.parametrize("language", LANGUAGES)
def test_each_drawing_tool_has_a_letter_of_its_own(language: str):
    with translation.override(language):
        keys = [str(words_of("tagger.js")[f"tool.{tool}.key"]) for tool in TOOLS]

    assert all(len(key) == 1 and key.isalpha() for key in keys)
    assert len({key.casefold() for key in keys}) == len(TOOLS)


# Pages and papers -----------------------------------------------------------------------------


def plain(text: str) -> str:
    """The text with one ordinary space between words, in lower case."""
    return " ".join(html.unescape(text).split()).casefold()


def of_catalogue(language: str) -> Iterator[str]:
    """Every sentence of the sources, or its translation."""
    for entry in entries():
        for source, text in pairs(entry):
            yield text if language == "fr" else source


def of_fixtures(language: str) -> Iterator[str]:
    """Every text of the fixtures in that language; the demo’s are what people typed."""
    for path in sorted((HOUSE / "fixtures").rglob("*.json")):
        if path.parent.name not in ("demo", "releases"):
            yield from spoken_in(json.loads(path.read_text(encoding="utf-8")), language)


def spoken_in(value: Any, language: str) -> Iterator[str]:
    if isinstance(value, dict) and {"en", "fr"} <= set(value):
        words = value[language]
        yield from words if isinstance(words, list) else [words]
    elif isinstance(value, dict | list):
        for child in value.values() if isinstance(value, dict) else value:
            yield from spoken_in(child, language)


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
    assert english_in("<p>Photos and the\n findings on&#32;them</p>") == [
        "photos and the findings on them"
    ]
    assert english_in("<p>Photos et observations qu’elles montrent</p>") == []
    assert french_in("<p>Photos et observations\n qu’elles&#32;montrent</p>") == [
        "photos et observations qu’elles montrent"
    ]


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
