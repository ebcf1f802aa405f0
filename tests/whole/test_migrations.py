"""The migrations bring exactly what the models say."""

from __future__ import annotations

from io import StringIO

import pytest
from django.core.management import call_command
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder


def test_no_model_is_ahead_of_the_migrations(db):
    out = StringIO()

    call_command("makemigrations", "--check", "--dry-run", stdout=out)

    assert "No changes detected" in out.getvalue()


def test_the_migrations_form_one_line(db):
    leaves = MigrationLoader(connection).graph.leaf_nodes("repairs")

    assert len(leaves) == 1


def test_every_migration_says_whether_it_may_run_while_the_former_release_serves(db):
    own = [
        row
        for key, row in MigrationLoader(connection).disk_migrations.items()
        if key[0] == "repairs"
    ]

    unsaid = [
        row.name for row in own if not isinstance(getattr(row, "beside_former_release", None), bool)
    ]

    assert own
    assert unsaid == []


def test_a_new_database_has_them_all(db):
    known = {key for key in MigrationLoader(connection).disk_migrations if key[0] == "repairs"}

    applied = set(MigrationRecorder(connection).applied_migrations())

    assert known
    assert known <= applied


@pytest.mark.parametrize("table", ["repairs_case", "repairs_logentry", "repairs_paper"])
def test_a_table_bears_the_name_of_its_model(db, table):
    assert table in connection.introspection.table_names()
