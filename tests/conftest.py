"""The cast and the objects that most tests need.

Hélène heads the workshop, Armand is a luthier, Lise an apprentice, Odile keeps the books, Tom
only reads.
"""

from __future__ import annotations

import datetime as dt
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings as house_settings
from django.core.cache import cache
from django.test.signals import setting_changed
from django.utils import timezone

from repairs.cases.models import Case
from repairs.findings.models import Finding
from repairs.instruments.models import Instrument
from repairs.people.house_models import House
from repairs.people.models import Client, User
from repairs.photos import developing
from repairs.photos.models import Photo
from tests import factories
from workshop.prepare import prepare

# Whoever starts pytest by itself starts neither manage.py nor a server; and Django is set up by
# now, so that it looks again for its translations.
prepare()
setting_changed.send(sender=prepare, setting="LOCALE_PATHS", value=None, enter=True)
house_settings.SECRET_KEY = "of the tests, which sign nothing that lasts"
# No key to sign papers with, but for tests that make one: a signature takes its time.
house_settings.SEAL_KEY_FILE = Path(tempfile.gettempdir()) / "sautereau-no-such-key.pem"
house_settings.STAMP_SERVER = ""
# Nor what a server gathered on this machine: of that, a page would ask for what is not served here.
house_settings.STATIC_ROOT = Path(tempfile.gettempdir()) / "sautereau-nothing-gathered"
house_settings.STATIC_ROOT.mkdir(exist_ok=True)
# Nobody pulls the plug on the tests; where the disk is the question, it is asked.
os.fsync = lambda fd: None
# Playwright's sync API runs a loop in this thread; the ORM is called beside it, never inside.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

pytest_plugins = [
    "tests.reach",
    "tests.shares",
    "tests.together",
    "tests.rows",
    "tests.ready",
    "tests.nothing",
    "tests.pressing",
    "tests.prefetches",
    "tests.invoices.fixtures",
]

NOW = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)


@pytest.fixture(scope="session", autouse=True)
def lights_out() -> Iterator[None]:
    """End the darkroom of this process with the tests."""
    yield
    developing.darkroom().close()


@pytest.fixture(autouse=True)
def own_store(settings, tmp_path: Path):
    """Every test has a store of its own; nothing is left in the house's."""
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.SEAL_KEY_FILE = tmp_path / "seal-key.pem"
    settings.LANGUAGE_CODE = "en"
    settings.WHITENOISE_AUTOREFRESH = True  # reads no folder at the start of each test client
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    cache.clear()  # the brakes on public pages count from one test to the next
    return settings.MEDIA_ROOT


@pytest.fixture
def now() -> dt.datetime:
    return NOW


@pytest.fixture
def house(db) -> House:
    return factories.house()


@pytest.fixture
def helene(db) -> User:
    return factories.person("helene", "principal")


@pytest.fixture
def armand(db) -> User:
    return factories.person("armand", "luthier")


@pytest.fixture
def lise(db) -> User:
    return factories.person("lise", "apprentice")


@pytest.fixture
def odile(db) -> User:
    return factories.person("odile", "bookkeeper")


@pytest.fixture
def tom(db) -> User:
    return factories.person("tom", "reader")


@pytest.fixture
def owner(helene: User) -> Client:
    return factories.owner(by=helene)


@pytest.fixture
def vielle(owner: Client, helene: User) -> Instrument:
    return factories.instrument(owner, by=helene)


@pytest.fixture
def case(vielle: Instrument, armand: User) -> Case:
    return factories.case(vielle, by=armand)


@pytest.fixture
def photo(case: Case, armand: User) -> Photo:
    """A real photo, sent and developed."""
    return factories.photo(case, by=armand)


@pytest.fixture
def finding(case: Case, armand: User) -> Finding:
    return factories.finding(case, by=armand)


@pytest.fixture
def today() -> dt.date:
    return timezone.localdate()
