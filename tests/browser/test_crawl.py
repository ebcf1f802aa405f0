"""Every page of the table of addresses before axe-core: both languages, both schemes, both widths.

A crawl of some five hundred views: each run takes its share, ``--whole`` takes all.
"""

from __future__ import annotations

import pytest

from tests.browser.judge import faults
from tests.browser.walk import DESK, PHONE
from tests.browser.whole_words import lost
from tests.whole.addresses import TABLE
from tests.whole.asking import address
from tests.whole.conftest import world  # noqa: F401 - a fixture

pytestmark = pytest.mark.browser

PARTS = 20
FILES = {
    "photos:picture",
    "photos:states",
    "findings:annotations",
    "findings:part_map",
    "estimates:preview",
    "estimates:record_preview",
    "estimates:decide_file",
    "estimates:decide_photo",
    "invoices:preview",
    "invoices:file",
    "invoices:paper",
    "invoices:export",
    "cases:receipt_preview",
    "cases:label",
    "treatment:bag_label",
    "treatment:step_states",
    "press:proof",
    "papers:file",
    "papers:data",
    "papers:preview_file",
}
PAGES = sorted(
    name
    for name, route in TABLE.items()
    if route.method == "GET" and route.status == 200 and name not in FILES
)


@pytest.mark.share(80)
@pytest.mark.parametrize("part", range(PARTS))
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("language", ["fr", "en"])
def test_axe_finds_nothing_at_any_address(
    threads_database,
    world,  # noqa: F811
    helene,
    open_window,
    language,
    scheme,
    part,
):
    type(helene).objects.filter(pk=helene.pk).update(language=language)
    known = world(helene)
    walk = open_window(helene, language=language, color_scheme=scheme)
    found = {}

    for name in PAGES[part::PARTS]:
        walk.page.goto(address(name, known))
        for width, height in (PHONE, DESK):
            walk.page.set_viewport_size({"width": width, "height": height})
            found[name, width] = faults(walk.page)
            assert [*walk.too_wide(), *lost(walk.page)] == [], (name, width)

    assert {place: what for place, what in found.items() if what} == {}
