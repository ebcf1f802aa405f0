"""The migrations bring exactly what the models say."""

from __future__ import annotations

from io import StringIO

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import connection, connections
from django.db.backends.base.base import BaseDatabaseWrapper
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


def test_a_column_that_the_database_fills_is_filled_in_a_form_as_well():
    """A new row shows its default; one that only the database knows is shown as an object."""
    fields = [field for model in apps.get_models() for field in model._meta.concrete_fields]

    filled = [field for field in fields if getattr(field, "has_db_default", bool)()]

    assert filled
    assert [str(field) for field in filled if not field.has_default()] == []


def test_a_new_database_has_them_all(db):
    known = {key for key in MigrationLoader(connection).disk_migrations if key[0] == "repairs"}

    applied = set(MigrationRecorder(connection).applied_migrations())

    assert known
    assert known <= applied


@pytest.mark.parametrize("table", ["repairs_case", "repairs_logentry", "repairs_paper"])
def test_a_table_bears_the_name_of_its_model(db, table):
    assert table in connection.introspection.table_names()


COLUMNS = """SELECT table_name, column_name, data_type, is_nullable, column_default,
    character_maximum_length, numeric_precision, numeric_scale
    FROM information_schema.columns WHERE table_schema = 'public'"""
CONSTRAINTS = """SELECT conrelid::regclass::text, conname, pg_get_constraintdef(oid)
    FROM pg_constraint WHERE connamespace = 'public'::regnamespace"""
INDEXES = "SELECT tablename, indexname, indexdef FROM pg_indexes WHERE schemaname = 'public'"
STATEMENTS = "SELECT type, name, sql FROM sqlite_master"
MADE = {"postgresql": (COLUMNS, CONSTRAINTS, INDEXES), "sqlite": (STATEMENTS,)}


def schema(of: BaseDatabaseWrapper) -> list[str]:
    """All that the database says of its tables, their columns, constraints and indexes."""
    with of.cursor() as cursor:
        found = []
        for statement in MADE[of.vendor]:
            cursor.execute(statement)
            found += [repr(row) for row in cursor.fetchall()]
    return sorted(found)


def test_the_migrations_run_on_nothing_and_give_the_tables_of_all_other_tests(usual):
    call_command("migrate", verbosity=0)

    made = schema(connections["default"])
    assert len(made) > 100
    assert made == schema(usual)
