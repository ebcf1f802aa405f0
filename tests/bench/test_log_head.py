"""The page of the head: for the principal, in both languages, with or without something lost."""

from __future__ import annotations

import pytest
from django.core import mail
from django.core.management import call_command
from django.core.management.base import CommandError
from django.urls import reverse

from repairs.audit import marks
from repairs.audit.anchors import current_head
from repairs.audit.marks import Mark, Marks
from repairs.audit.models import LogEntry
from repairs.people.head_mail import once_a_day
from tests import factories

PAGE = "/house/log/"


def seen(client, person, language: str = "en", **asked: str) -> str:
    person.language = language
    person.save()
    client.force_login(person)
    answer = client.get(PAGE, asked)
    assert answer.status_code == 200
    return answer.content.decode()


@pytest.fixture
def lost(case) -> None:
    """Marks that know more than the database."""
    numbers = {f"case/{case.year}": case.sequence + 2, "invoice/FA/2026": 2}
    line = Mark(current_head().seq + 40, "ab" * 32)
    marks.place().parent.mkdir(exist_ok=True)
    marks._write(Marks(line, numbers, {"paper": 3}), is_forced=False)


@pytest.mark.parametrize("language", ["en", "fr"])
def test_the_head_is_shown_short_and_whole(client, case, helene, language):
    page = seen(client, helene, language)

    head = current_head()
    assert head.short in page
    assert head.sha256 in page


def test_a_head_that_was_kept_is_proved_on_the_page(client, case, helene, armand):
    kept = current_head()
    factories.finding(case, by=armand)

    assert f"that of line {kept.seq}" in seen(client, helene, head=kept.short)
    assert "No line of this log bears it" in seen(client, helene, head="f" * 20)
    assert "is no head of the log" in seen(client, helene, head="a quoin")
    assert "it proves nothing" in seen(client, helene, head="0" * 20)


def test_a_log_that_was_touched_is_told_beside_the_head(client, case, helene):
    kept = current_head()
    LogEntry.objects.filter(seq=1).update(verb="client.changed")

    assert "it was touched at line" in " ".join(seen(client, helene, head=kept.short).split())


@pytest.mark.parametrize(("language", "words"), [("en", "to line"), ("fr", "jusqu’à la ligne")])
def test_what_is_missing_is_told_and_gone_on_from(
    client, lost, case, helene, language, words, django_capture_on_commit_callbacks
):
    page = " ".join(seen(client, helene, language).split())
    assert words in page
    assert "FA-2026-0001" in page
    assert client.get(reverse("bench:home")).content.decode().count(PAGE) >= 1

    client.post(reverse("bench:go_on"))
    assert not LogEntry.objects.filter(verb="house.went_on").exists()

    with django_capture_on_commit_callbacks(execute=True):
        client.post(reverse("bench:go_on"), {"read": "on"})
    assert LogEntry.objects.filter(verb="house.went_on").count() == 1
    assert 'id="behind"' not in seen(client, helene, language)


def test_others_are_told_in_a_sentence_whom_to_ask(client, lost, armand):
    client.force_login(armand)

    page = client.get(reverse("bench:home")).content.decode()
    assert "Nothing is issued for now" in page
    assert "A principal reads what is missing" in page
    assert PAGE not in page


def test_the_head_is_sent_to_the_address_that_is_set(case, settings):
    settings.HEAD_TO, settings.EMAIL_HOST = ["notaire@example.org"], "mail.example.org"

    call_command("log_head", mail=True)

    (message,) = mail.outbox
    assert message.to == ["notaire@example.org"]
    assert current_head().sha256 in message.body


def test_without_an_address_or_a_server_the_command_says_so(case, settings):
    with pytest.raises(CommandError, match="SAUTEREAU_HEAD_TO") as unusable:
        call_command("log_head", mail=True)
    settings.HEAD_TO = ["notaire@example.org"]
    with pytest.raises(CommandError, match="SAUTEREAU_MAIL_HOST") as refused:
        call_command("log_head", mail=True)

    assert (unusable.value.returncode, refused.value.returncode) == (2, 1)


def test_the_round_of_the_day_sends_nothing_where_nothing_is_set(case, now):
    once_a_day(at=now)

    assert mail.outbox == []


def test_lines_about_the_house_name_whom_they_are_about_and_no_code(client, helene, owner):
    client.force_login(helene)
    address = reverse("people:client", args=[owner.pk])
    client.get(address)

    page = client.get(reverse("bench:log_head")).content.decode()

    assert f'<a href="{address}">{owner}</a>' in page
    assert f"client:{owner.pk}" not in page
    assert "user:" not in page
