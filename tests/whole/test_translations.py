"""The French catalogue is whole, keeps to French typography, and reaches every page and paper."""

import re
import shutil
from pathlib import Path

import polib
import pytest
from django.core.management import call_command
from django.utils import translation

from repairs.language.text import LANGUAGES
from repairs.screens.scripts import words_of
from tests.whole.catalogue import CATALOGUE, HOUSE, entries, of_catalogue, of_fixtures, pairs

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
STRAIGHT_APOSTROPHE = re.compile(r"\w'|'\w")
STRAIGHT_QUOTE = re.compile('["“”]')
NO_SPACE_BEFORE = re.compile(r"(?<![\u202f?!])[;?!]|(?<!\u00a0)[:»](?!//|\d)")
NO_SPACE_AFTER = re.compile("«(?!\u00a0)")
NO_SPACE_IN_MEASURE = re.compile(r"(?:%\(\w+\)s|\d) (?:mm|min|°C|EUR|%)(?![\w(])")
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
