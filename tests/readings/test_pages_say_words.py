"""No code of a gauge stands on a page: what is seen of each reading, the limits and the causes."""

from __future__ import annotations

import html
import re

import pytest
from django.urls import reverse

from repairs.causes.tables import plain
from repairs.gauges.everything import gauges
from tests.readings import samples

LANGUAGES = ("en", "fr")
VERSIONS = {gauge.version for gauge in gauges().values()}


def visible(page: str) -> str:
    """What is read on a page: no mark-up, no script, no drawing."""
    main = page.partition("<main")[2].partition("</main")[0]
    without = re.sub(r"<(svg|script|style)\b.*?</\1>", " ", main, flags=re.DOTALL)
    return html.unescape(re.sub(r"<[^>]*>", " ", without))


@pytest.mark.django_db
@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("gauge", sorted(samples.SAMPLES))
def test_the_page_of_a_reading_shows_no_code(client, armand, case, gauge, language):
    armand.language = language
    armand.save()
    client.force_login(armand)
    reading = samples.reading(case, by=armand, gauge=gauge)

    page = visible(client.get(reading.get_absolute_url()).text)

    assert "1" in page
    assert not re.search(r"[a-z]_[a-z]", page), page
    assert not any(version in page for version in VERSIONS)


@pytest.mark.django_db
@pytest.mark.parametrize("language", LANGUAGES)
def test_the_limits_and_the_causes_show_no_code(client, helene, armand, case, language):
    helene.language = language
    helene.save()
    client.force_login(helene)
    for gauge in samples.SAMPLES:
        samples.reading(case, by=armand, gauge=gauge)
    told = plain("wheel_fiddle")
    symptoms = "&".join(
        [f"symptom={row['key']}" for row in told["symptoms"]]
        + [
            f"past={key}&days_{key}=3"
            for key in (row["what"].replace(" ", "_") for row in told["history"])
        ]
    )

    limits = visible(client.get(reverse("readings:limits")).text)
    causes = visible(client.get(reverse("readings:diagnosis", args=[case.number])).text)
    every = visible(
        client.get(reverse("readings:diagnosis", args=[case.number]) + f"?{symptoms}").text
    )

    for page in (limits, causes, every):
        assert len(page.split()) > 50
        assert not re.search(r"[a-z]_[a-z]", page), page
