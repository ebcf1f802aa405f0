"""The house, those who work in it, and what each role may do."""

from __future__ import annotations

from typing import get_args

import pytest
from django.urls import reverse

from repairs.audit.models import LogEntry
from repairs.people.access import DEEDS, Deed, may, require
from repairs.people.forms import UserForm
from repairs.people.house_models import House
from repairs.people.models import Role, User
from repairs.people.refusals import NotAllowedHereError

MARIN = {
    "username": "marin",
    "first_name": "Marin",
    "last_name": "Sautarel",
    "email": "marin@example.org",
    "role": "luthier",
    "language": "fr",
    "is_active": "on",
    "password": "deux-mots-bien-longs",
}
HOUSE = {
    "name": "Atelier Sautarel",
    "currency": "EUR",
    "terms": "Thirty days.\nThen storage.",
    "hourly_rate": "48,50",
    "spoken_consent_most": "300",
}


@pytest.fixture
def principal(client, helene):
    client.force_login(helene)
    return client


def as_typed(person: User, **changed: str) -> dict[str, str]:
    """The form of a person as their page sends it back."""
    names = ("username", "first_name", "last_name", "email", "role", "language")
    said = {name: getattr(person, name) for name in names}
    return said | {"is_active": "on", "password": ""} | changed


def test_the_house_is_changed_and_its_papers_will_say_so(principal):
    answer = principal.post(reverse("people:house"), HOUSE)

    assert answer.status_code == 302
    assert House.objects.get().terms == HOUSE["terms"]
    assert LogEntry.objects.filter(verb="house.changed").exists()


def test_the_house_stays_a_single_row(principal):
    principal.post(reverse("people:house"), HOUSE)
    principal.post(reverse("people:house"), HOUSE | {"name": "Atelier neuf"})

    assert House.objects.get().name == "Atelier neuf"


@pytest.mark.parametrize("currency", ["euro", "eur", "E", "€"])
def test_a_currency_is_three_capital_letters(principal, currency):
    answer = principal.post(reverse("people:house"), HOUSE | {"currency": currency})

    assert "Please mend" in answer.text
    assert not House.objects.exists()


def test_someone_is_let_in_and_can_sign_in(principal):
    answer = principal.post(reverse("people:user_add"), MARIN)

    marin = User.objects.get(username="marin")
    principal.post(reverse("people:sign_out"))
    assert answer.status_code == 302
    assert (marin.role, marin.initials, str(marin)) == ("luthier", "MS", "Marin Sautarel")
    assert principal.login(username="marin", password=MARIN["password"])
    assert LogEntry.objects.get(verb="person.hired", subject=f"user:{marin.pk}").details == {
        "role": "luthier",
        "active": True,
    }


@pytest.mark.parametrize("password", ["", "kurz", "12345678", "password"])
def test_a_first_password_must_be_given_and_be_a_good_one(principal, password):
    answer = principal.post(reverse("people:user_add"), MARIN | {"password": password})

    assert "Please mend" in answer.text
    assert not User.objects.filter(username="marin").exists()


def test_a_name_that_is_taken_is_refused(principal, armand):
    answer = principal.post(reverse("people:user_add"), MARIN | {"username": "armand"})

    assert "Please mend" in answer.text


def test_someone_is_changed_and_keeps_the_password_when_none_is_typed(principal, lise):
    address = reverse("people:user", args=[lise.pk])

    principal.post(address, as_typed(lise, role="luthier"))

    lise.refresh_from_db()
    assert lise.role == Role.LUTHIER
    assert lise.check_password("un-mot-long-1771")


def test_someone_who_leaves_stays_known_but_may_not_sign_in(principal, armand):
    typed = as_typed(armand)
    del typed["is_active"]

    principal.post(reverse("people:user", args=[armand.pk]), typed)

    armand.refresh_from_db()
    assert not armand.is_active
    assert not principal.login(username="armand", password="un-mot-long-1771")


@pytest.mark.parametrize("changed", [{"role": "luthier"}, {"is_active": ""}])
def test_the_only_principal_cannot_step_down_on_the_form(helene, changed):
    form = UserForm(as_typed(helene) | changed, instance=User.objects.get(pk=helene.pk))

    assert not form.is_valid()
    assert "only principal" in form.errors["role"][0]


@pytest.mark.parametrize("changed", [{"role": "reader"}, {"is_active": ""}])
def test_the_only_principal_cannot_step_down_on_the_screen(principal, helene, changed):
    answer = principal.post(
        reverse("people:user", args=[helene.pk]), as_typed(helene) | changed, follow=True
    )

    helene.refresh_from_db()
    assert "This is the only principal." in answer.text
    assert (helene.role, helene.is_active) == (Role.PRINCIPAL, True)


def test_a_principal_steps_down_once_there_is_another(principal, helene, armand):
    principal.post(reverse("people:user", args=[armand.pk]), as_typed(armand, role=Role.PRINCIPAL))

    principal.post(reverse("people:user", args=[helene.pk]), as_typed(helene, role=Role.LUTHIER))

    helene.refresh_from_db()
    assert helene.role == Role.LUTHIER


def test_a_principal_who_left_does_not_count_as_another(principal, helene, armand):
    User.objects.filter(pk=armand.pk).update(role=Role.PRINCIPAL, is_active=False)

    principal.post(reverse("people:user", args=[helene.pk]), as_typed(helene, role=Role.LUTHIER))

    helene.refresh_from_db()
    assert helene.role == Role.PRINCIPAL


def test_a_new_principal_may_be_let_in(principal):
    principal.post(reverse("people:user_add"), MARIN | {"role": Role.PRINCIPAL})

    assert User.objects.filter(role=Role.PRINCIPAL).count() == 2


EXPECTED = {
    "principal": "view record examine take_in people receipt estimate sign_off agree issue house "
    "see_prices see_money bill books",
    "luthier": "view record examine take_in people receipt estimate sign_off see_prices",
    "apprentice": "view record",
    "bookkeeper": "view people see_prices see_money bill books",
    "reader": "view",
}
ALL_DEEDS: tuple[Deed, ...] = get_args(Deed)


@pytest.mark.parametrize("role", Role.values)
def test_each_role_may_do_what_the_house_agreed(role):
    person = User(role=role)

    assert [deed for deed in ALL_DEEDS if may(person, deed)] == EXPECTED[role].split()


def test_the_table_knows_every_role_and_no_other():
    assert set(DEEDS) == set(Role.values) == set(EXPECTED)


@pytest.mark.parametrize("role", [*Role.values, "", "owner"])
def test_who_left_and_who_has_no_role_may_do_nothing(role):
    gone = User(role=role, is_active=False)

    assert not any(may(gone, deed) for deed in ALL_DEEDS)
    assert not any(may(User(role="owner"), deed) for deed in ALL_DEEDS)


def test_what_a_role_does_not_cover_is_refused_with_a_sentence():
    with pytest.raises(NotAllowedHereError, match="apprentice"):
        require(User(role=Role.APPRENTICE), "issue")


def test_someone_shut_out_is_told_as_such(client, helene, tom):
    client.force_login(helene)

    page = client.post(
        reverse("people:user", args=[tom.pk]),
        {"username": "tom", "first_name": "Tom", "role": "reader", "language": "en"},
        follow=True,
    ).content.decode()

    assert "Tom cannot sign in." in page


def test_changing_ones_own_password_keeps_one_signed_in(client, helene):
    client.force_login(helene)

    client.post(
        reverse("people:user", args=[helene.pk]),
        {
            "username": "helene",
            "role": "principal",
            "language": "en",
            "is_active": "on",
            "password": "une-phrase-bien-longue",
        },
    )

    assert client.get(reverse("bench:home")).status_code == 200
