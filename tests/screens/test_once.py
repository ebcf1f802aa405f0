"""A form that is sent again, or eight times at once, is kept once and leads where it led first."""

from __future__ import annotations

import re
from threading import Barrier
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from repairs.audit.actions import chain_faults, deed
from repairs.people.models import Client
from repairs.screens import once
from repairs.screens.once_models import SentForm
from repairs.screens.refusals import SentElsewhereError
from tests.beside import shared_database
from tests.screens.at_once import hands
from tests.screens.filling import Form, Forms, form_of, send, tokens_in
from tests.screens.writing import WRITINGS, Writing
from tests.whole.test_templates import SCREENS, text_of

TIMES = 8


def window(writing: Writing, by: Any) -> Browser:
    browser = Browser(enforce_csrf_checks=True)
    if writing.is_signed_in:
        browser.force_login(by)
    return browser


@pytest.fixture
def adding(helene) -> tuple[Browser, Form]:
    """Hélène enters a client, with all that a browser is asked for."""
    browser = Browser(enforce_csrf_checks=True)
    browser.force_login(helene)
    return browser, form_of(browser, reverse("people:client_add"))


# Again -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", sorted(WRITINGS))
def test_a_form_sent_eight_times_is_kept_once_and_leads_to_the_same_place(name, helene):
    writing = WRITINGS[name](helene)
    browser = window(writing, helene)
    form = form_of(browser, writing.page, writing.action)
    before = writing.rows._default_manager.count()

    answers = [send(browser, form, **writing.typed) for _time in range(TIMES)]

    assert [answer.status_code for answer in answers] == [302] * TIMES
    assert len({answer["Location"] for answer in answers}) == 1
    assert writing.rows._default_manager.count() == before + 1
    assert browser.get(answers[-1]["Location"]).status_code == 200


def test_the_page_opened_anew_is_another_form(adding):
    browser, form = adding
    send(browser, form, name="Basile Ferrand")

    send(browser, form_of(browser, form.action), name="Odon Perrachon")

    assert Client.objects.count() == 2


def test_whoever_sent_twice_is_told_so(adding):
    browser, form = adding
    send(browser, form, name="Basile Ferrand")

    page = browser.get(send(browser, form, name="Basile Ferrand")["Location"]).text

    assert "This form was sent twice. It was kept once." in page


def test_a_refused_form_does_not_use_its_token_up(adding):
    browser, form = adding
    refused = send(browser, form, name="")

    kept = send(browser, form, name="Basile Ferrand")

    assert (refused.status_code, kept.status_code) == (200, 302)
    assert Client.objects.get().name == "Basile Ferrand"


def test_a_form_of_which_the_sign_in_ran_out_may_be_sent_after_it(adding, helene):
    browser, form = adding
    del browser.cookies["sessionid"]
    asked = send(browser, form, name="Basile Ferrand")
    browser.force_login(helene)

    kept = send(browser, form, name="Basile Ferrand")

    assert "/sign-in/" in asked["Location"]
    assert kept["Location"] == reverse("people:client", args=[Client.objects.get().pk])


def test_other_words_under_a_used_token_are_neither_lost_nor_taken_for_the_first(adding):
    browser, form = adding
    send(browser, form, name="Basile Ferrand")

    answer = send(browser, form, name="Odon Perrachon", city="Moulins <b>")

    assert answer.status_code == 409
    assert "Sent already, with other words" in answer.text
    assert "Moulins &lt;b&gt;" in answer.text
    assert Client.objects.count() == 1
    (again,) = [one for one in Forms(answer.text, form.action).found if "city" in one.fields]
    assert send(browser, again).status_code == 302
    assert [row.city for row in Client.objects.order_by("pk")] == ["", "Moulins <b>"]


@pytest.mark.parametrize(
    ("language", "words"),
    [("en", "What you typed is kept below"), ("fr", "Ce que vous avez saisi est conservé")],
)
def test_a_page_without_a_token_is_asked_again_and_nothing_typed_is_lost(
    adding, helene, language, words
):
    browser, form = adding
    helene.language = language
    helene.save()
    old = Form(form.action, {k: v for k, v in form.fields.items() if k != once.FIELD})

    answer = send(browser, old, name="Basile Ferrand")

    assert answer.status_code == 409
    assert words in answer.text
    assert not Client.objects.exists()
    (again,) = [one for one in Forms(answer.text, form.action).found if "name" in one.fields]
    assert send(browser, again).status_code == 302
    assert Client.objects.get().name == "Basile Ferrand"


def test_a_password_is_not_repeated_on_that_page(helene):
    browser = Browser(enforce_csrf_checks=True)
    browser.force_login(helene)
    form = form_of(browser, reverse("people:user_add"))
    del form.fields[once.FIELD]

    answer = send(browser, form, username="basile", password="un-mot-long-1771")

    assert "basile" in answer.text
    assert "un-mot-long-1771" not in answer.text
    assert "type them again" in answer.text


def test_a_token_of_somebody_else_is_another_one(adding, armand):
    browser, form = adding
    send(browser, form, name="Basile Ferrand")
    other = Browser()
    other.force_login(armand)

    answer = send(other, form, name="Odon Perrachon")

    assert answer.status_code == 302
    assert Client.objects.count() == 2


# Faults ----------------------------------------------------------------------------------------


def test_what_was_kept_before_a_fault_is_not_kept_again(adding, monkeypatch):
    browser, form = adding
    browser.raise_request_exception = False
    broken = "repairs.people.views.messages.success"
    with monkeypatch.context() as patch:
        patch.setattr(broken, lambda *words: 1 / 0)
        fault = send(browser, form, name="Basile Ferrand")

    again = send(browser, form, name="Basile Ferrand")

    assert (fault.status_code, again.status_code) == (500, 302)
    assert Client.objects.count() == 1


def test_what_a_fault_undid_may_be_sent_again(adding, monkeypatch):
    browser, form = adding
    browser.raise_request_exception = False
    with monkeypatch.context() as patch:
        patch.setattr("repairs.people.actions.record", lambda *words, **more: 1 / 0)
        fault = send(browser, form, name="Basile Ferrand")

    again = send(browser, form, name="Basile Ferrand")

    assert (fault.status_code, again.status_code) == (500, 302)
    assert Client.objects.count() == 1


def test_a_process_that_died_at_once_after_the_deed_left_it_known(adding):
    browser, form = adding
    first = send(browser, form, name="Basile Ferrand")
    long_ago = timezone.now() - 2 * once.DEAD_AFTER
    SentForm.objects.update(location="", at=long_ago)  # as it stands between commit and answer

    again = send(browser, form, name="Basile Ferrand")

    assert (first.status_code, again.status_code) == (302, 302)
    assert Client.objects.count() == 1


def test_a_process_that_died_before_its_deed_leaves_the_form_to_the_next(adding):
    browser, form = adding
    send(browser, form, name="Basile Ferrand")
    Client.objects.all().delete()
    long_ago = timezone.now() - 2 * once.DEAD_AFTER
    SentForm.objects.update(location="", at=long_ago, state=SentForm.State.RUNNING)

    assert send(browser, form, name="Basile Ferrand").status_code == 302
    assert Client.objects.count() == 1


@pytest.mark.django_db
def test_of_a_slow_one_and_the_one_that_took_over_only_one_is_kept():
    slow = once.claim("a token", "/", "words")
    assert isinstance(slow, once.Claim)
    SentForm.objects.update(at=timezone.now() - 2 * once.DEAD_AFTER)
    quick = once.claim("a token", "/", "words")
    assert isinstance(quick, once.Claim)

    once.hold(quick)
    with deed():
        pass
    once.hold(slow)
    with pytest.raises(SentElsewhereError), deed():
        pass
    once.hold(None)


def test_while_the_first_is_at_work_the_second_waits_and_is_told(adding, monkeypatch):
    browser, form = adding
    monkeypatch.setattr(once, "PATIENCE_S", 0.0)
    send(browser, form, name="Basile Ferrand")
    SentForm.objects.update(location="", state=SentForm.State.RUNNING)

    answer = send(browser, form, name="Basile Ferrand")

    assert answer.status_code == 409
    assert "still being worked on" in answer.text
    (again,) = [one for one in Forms(answer.text, form.action).found if "name" in one.fields]
    assert again.fields["once"] == form.fields["once"]
    assert Client.objects.count() == 1


@pytest.mark.django_db
def test_tokens_are_swept_after_a_week():
    once.claim("old", "/", "")
    SentForm.objects.update(at=timezone.now() - 2 * once.KEPT_FOR)
    once.claim("young", "/", "")

    assert once.sweep_sent_forms(at=timezone.now()) == 1
    assert SentForm.objects.count() == 1


# No form can forget it ---------------------------------------------------------------------------


def test_every_form_that_writes_bears_the_guards():
    forms = [
        (name, form)
        for name in SCREENS
        for form in re.findall(r"<form\b.*?</form>", text_of(name), re.S)
        if re.search(r'method="post"', form, re.I)
    ]

    assert len(forms) > 100
    assert [name for name, form in forms if "{% csrf_token %}" not in form] == []


def test_the_guard_against_foreign_sites_brings_the_token_along(adding):
    browser, form = adding
    pages = [tokens_in(browser.get(form.action).text) for _time in range(2)]

    assert all(len(set(tokens)) == len(tokens) > 0 for tokens in pages)
    assert not set(pages[0]) & set(pages[1])


# At once ---------------------------------------------------------------------------------------


@pytest.mark.share(3)
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("name", sorted(WRITINGS))
def test_eight_posts_at_once_are_kept_once(name, helene, tmp_path):
    writing = WRITINGS[name](helene)
    with shared_database(tmp_path), hands(TIMES) as pool:
        browser = window(writing, helene)
        form = form_of(browser, writing.page, writing.action)
        before = writing.rows._default_manager.count()
        start = Barrier(TIMES)

        def post() -> tuple[int, str]:
            one = Browser(enforce_csrf_checks=True)
            one.cookies = browser.cookies.copy()  # type: ignore[assignment]
            start.wait(20)
            answer = send(one, form, **writing.typed)
            return answer.status_code, answer.headers.get("Location", answer.text[:300])

        answers = [run.result(60) for run in [pool.submit(post) for _time in range(TIMES)]]

        assert len(set(answers)) == 1
        assert answers[0][0] == 302
        assert writing.rows._default_manager.count() == before + 1
        assert list(chain_faults()) == []
