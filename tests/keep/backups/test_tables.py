"""No table is forgotten, and every value has one form, whichever database it came from."""

from __future__ import annotations

import datetime as dt
import json
from decimal import Decimal
from uuid import UUID

import pytest
from django.apps import apps
from django.db import connection, models

from repairs.keep.dumping import Source, at_rest, check_tables
from repairs.keep.refusals import NotMigratedError
from repairs.keep.tables import BY_SQLITE, LEFT_OUT, Column, _column, kept_tables, read_table
from repairs.keep.values import inward, outward
from repairs.storage.shelves import named_by


def test_every_model_is_in_the_backup_or_left_out_for_a_reason():
    kept = {table.name for table in kept_tables()}
    every = {model._meta.db_table for model in apps.get_models(include_auto_created=True)}

    assert every - kept == set(LEFT_OUT)
    assert all(LEFT_OUT.values())


def test_every_table_of_the_database_is_in_the_backup(db):
    there = set(connection.introspection.table_names()) - BY_SQLITE

    assert there - {table.name for table in kept_tables()} == set(LEFT_OUT)


def test_every_column_of_every_table_is_in_the_backup(db):
    with connection.cursor() as cursor:
        for table in kept_tables():
            told = connection.introspection.get_table_description(cursor, table.name)
            assert {column.name for column in told} == {column.name for column in table.columns}


def test_a_column_that_names_a_file_is_known_to_the_backup():
    columns = {
        table.name: column.name
        for table in kept_tables()
        for column in table.columns
        if column.name in ("file_name", "xml_name")
    }
    del columns["repairs_paperdraft"]  # a preview: swept, and made anew

    assert columns == named_by()


def test_a_field_of_a_kind_that_no_backup_can_write_is_told():
    with pytest.raises(TypeError, match="say in KINDS how a backup writes BinaryField"):
        _column(models.BinaryField(name="blob"))


def test_a_table_is_read_as_it_was_written():
    for table in kept_tables():
        assert read_table(table.plain()) == table


def test_a_database_with_a_table_that_nobody_describes_is_not_backed_up(db):
    with connection.cursor() as cursor:
        cursor.execute("CREATE TABLE repairs_fiddle (id integer)")
    with at_rest() as source, pytest.raises(NotMigratedError, match="repairs_fiddle"):
        check_tables(_here(source), kept_tables())


def test_a_database_that_lacks_a_table_is_not_backed_up(db):
    with at_rest() as source, pytest.raises(NotMigratedError, match=r"manage\.py migrate"):
        check_tables(
            source, [*kept_tables(), read_table({"name": "x", "key": "id", "columns": []})]
        )


def _here(source: Source) -> Source:
    return source if source.vendor == "sqlite" else Source(connection.connection, "postgresql")


@pytest.mark.parametrize(
    ("kind", "of_sqlite", "of_postgres", "said"),
    [
        ("integer", 7, 7, 7),
        ("text", "Hélène\n", "Hélène\n", "Hélène\n"),
        ("boolean", 1, True, True),
        ("date", "2026-11-25", dt.date(2026, 11, 25), "2026-11-25"),
        (
            "datetime",
            "2026-11-25 09:00:00",
            dt.datetime(2026, 11, 25, 10, tzinfo=dt.timezone(dt.timedelta(hours=1))),
            "2026-11-25T09:00:00Z",
        ),
        (
            "datetime",
            "2026-11-25 09:00:00.000120",
            dt.datetime(2026, 11, 25, 9, 0, 0, 120, tzinfo=dt.UTC),
            "2026-11-25T09:00:00.000120Z",
        ),
        ("decimal", 0.1, Decimal("0.10"), "0.10"),
        ("decimal", 12, Decimal("12.00"), "12.00"),
        ("decimal", "12345678901234567890.12", Decimal("12345678901234567890.12"),
         "12345678901234567890.12"),
        ("float", 0.1, 0.1, 0.1),
        (
            "uuid",
            "7d3f3a5e3a1c4a449a0e0a4a5a6a7a8a",
            UUID("7d3f3a5e-3a1c-4a44-9a0e-0a4a5a6a7a8a"),
            "7d3f3a5e-3a1c-4a44-9a0e-0a4a5a6a7a8a",
        ),
        ("json", '{"b": 1.0, "a": [1e-7]}', '{"a":[0.0000001],"b":1.0}', {"a": [1e-7], "b": 1.0}),
        ("json", "[1e+22, -0.0]", "[10000000000000000000000, 0.0]", [10**22, 0.0]),
    ],
)  # fmt: skip
def test_both_databases_give_one_form(kind, of_sqlite, of_postgres, said):
    convert = outward(Column("c", kind, 2)) or (lambda value: value)

    assert convert(of_sqlite) == convert(of_postgres) == said
    texts = {json.dumps(convert(one), sort_keys=True) for one in (of_sqlite, of_postgres)}
    assert len(texts) == 1


@pytest.mark.parametrize(
    ("kind", "said", "kept"),
    [
        ("boolean", True, 1),
        ("datetime", "2026-11-25T09:00:00.5Z", "2026-11-25 09:00:00.5"),
        ("uuid", "7d3f3a5e-3a1c-4a44-9a0e-0a4a5a6a7a8a", "7d3f3a5e3a1c4a449a0e0a4a5a6a7a8a"),
        ("json", {"a": [1]}, '{"a": [1]}'),
    ],
)
def test_a_value_goes_back_as_sqlite_keeps_it(kind, said, kept):
    convert = inward(Column("c", kind), "sqlite")

    assert convert is not None
    assert convert(said) == kept
