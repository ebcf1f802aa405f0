"""Writes the rows of a small house of this release, with some in every table.

    SAUTEREAU_RELEASE=1.0 python3 manage.py test tests/releases/make.py

Done once, on the day of a release; the file is never made anew for a release that is out.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from django.apps import apps
from django.conf import settings
from django.db import connection
from django.db.migrations.loader import MigrationLoader

from tests.releases import carrying

RELEASE = os.environ.get("SAUTEREAU_RELEASE", "")


@pytest.mark.skipif(not RELEASE, reason="only on the day of a release")
def test_the_house_of_this_release_is_kept(whole_house):
    ((_app, leaf),) = MigrationLoader(connection).graph.leaf_nodes(carrying.APP)
    tables = carrying.dumped(apps)
    assert [name for name, rows in tables.items() if not rows] == []
    file = Path(settings.BASE_DIR) / "fixtures" / "releases" / f"{RELEASE}.json"
    assert not file.exists()
    file.parent.mkdir(exist_ok=True)
    file.write_text(carrying.written(RELEASE, leaf, tables), encoding="utf-8")
