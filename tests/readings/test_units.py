"""Units that are kept as a code are read as words."""

from __future__ import annotations

import pytest

from tests import factories
from tests.readings import samples

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(("language", "words"), [("en", "turns/min"), ("fr", "tours/min")])
def test_the_speed_of_the_crank_has_its_unit_in_words(client, case, language, words):
    client.force_login(factories.person("basile", "luthier", language))
    address = samples.address(case, "dog_card")

    empty = client.get(address).text
    tried = client.post(
        address, samples.about() | samples.SAMPLES["dog_card"]() | {"try": "1"}
    ).text

    assert words in empty
    assert f"120 {words}" in tried.replace("\u00a0", " ")
    assert "1/min" not in empty + tried
