"""What a gauge must bear to be registered."""

from __future__ import annotations

import dataclasses

import pytest

from repairs.gauges.base.registry import register
from repairs.gauges.everything import gauges

KNOWN = gauges()["cleats"]


def test_a_name_is_given_once():
    with pytest.raises(RuntimeError, match="two gauges are called cleats"):
        register(KNOWN)


@pytest.mark.parametrize("version", ["1", "spacing", "spacing 0", "Spacing 1", "spacing 1.1"])
def test_a_version_reads_name_and_number(version):
    with pytest.raises(RuntimeError, match=r"write “name 1”"):
        register(dataclasses.replace(KNOWN, name="spacing", version=version))

    assert "spacing" not in gauges()
