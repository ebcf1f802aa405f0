"""One process migrates a database at a time; the next one waits, and then finds nothing to do."""

from __future__ import annotations

from threading import Event, Thread

import pytest
from django.core.management import call_command
from django.db import connection

from repairs.management.commands.migrate import alone

PATIENCE_S = 60


@pytest.mark.django_db(transaction=True)
def test_the_second_waits_and_says_so(settings, tmp_path):
    settings.DATA_DIR = tmp_path
    waiting, inside, over = Event(), Event(), []

    def second() -> None:
        """On a connection of its own, as another process has it."""
        with alone(connection, waiting.set):
            inside.set()
        connection.close()

    with alone(connection, lambda: over.append("the first waited")):
        thread = Thread(target=second)
        thread.start()
        assert waiting.wait(PATIENCE_S)
        assert not inside.is_set()
    thread.join(PATIENCE_S)

    assert inside.is_set()
    assert over == []


@pytest.mark.django_db(transaction=True)
def test_migrating_what_is_migrated_does_nothing(settings, tmp_path, capsys):
    settings.DATA_DIR = tmp_path

    call_command("migrate", verbosity=1)

    assert "No migrations to apply." in capsys.readouterr().out
