"""An issued file that is missing or was changed says so: never another page, never other bytes."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from tests.keep.conftest import Shelved

pytestmark = pytest.mark.django_db


def addresses(shelved: Shelved) -> dict[str, list[str]]:
    number, code = shelved.invoice.number, shelved.paper.code
    return {
        "papers": [reverse("invoices:file", args=[number, "pdf"])],
        "invoices": [
            reverse("invoices:file", args=[number, "xml"]),
            reverse("invoices:xml", args=[number]),
        ],
        "proofs": [reverse("press:proof", args=[code, shelved.proof.pk])],
    }


@pytest.mark.parametrize("folder", ["papers", "invoices", "proofs"])
@pytest.mark.parametrize("harm", ["missing", "changed"])
def test_a_harmed_file_is_not_served(client: Browser, shelved: Shelved, helene, folder, harm):
    client.force_login(helene)
    path, good = shelved.path(folder), shelved.path(folder).read_bytes()
    if harm == "missing":
        path.unlink()
    else:
        path.write_bytes(good + b"\n")
    said = "it is missing from the store" if harm == "missing" else "it is no longer what it was"

    for address in addresses(shelved)[folder]:
        refused = client.get(address)
        assert refused.status_code == 503, address
        assert said in refused.content.decode()

    path.write_bytes(good)
    for address in addresses(shelved)[folder]:
        answer: Any = client.get(address)
        assert answer.status_code == 200
        assert b"".join(answer.streaming_content) if answer.streaming else answer.content
