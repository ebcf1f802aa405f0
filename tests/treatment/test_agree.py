"""What may be done: by consent, by the principal of the house, or in an emergency."""

from __future__ import annotations

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.cases.actions import move
from repairs.cases.models import Case
from repairs.cases.refusals import StepOrderError
from repairs.procedures.versions import pin
from repairs.treatment.agree import Terms, Wanted, agree_emergency, agree_house_work, drop_work
from repairs.treatment.models import AgreedWork
from repairs.treatment.refusals import NotAgreedError
from tests import factories


def wanted(key: str) -> Wanted:
    return Wanted(version=pin(key, at=timezone.now()))


@pytest.fixture
def house_case(vielle, armand) -> Case:
    case = factories.case(vielle, by=armand, reason="house")
    move(case, Case.Step.LOOKED_OVER, because="", by=armand, at=timezone.now())
    return case


def test_agreed_works_are_numbered_in_their_case_and_logged_without_a_name(case, armand):
    rows = factories.agreed_works(case, wanted("open_seam"), wanted("loose_bar"), by=armand)

    assert [row.number for row in rows] == [1, 2]
    lines = LogEntry.objects.filter(verb="work.agreed")
    assert [line.details for line in lines] == [
        {"agreed": 1, "basis": "consent"},
        {"agreed": 2, "basis": "consent"},
    ]


def test_a_later_consent_replaces_what_is_not_begun_and_leaves_what_is(case, armand):
    begun, waiting = factories.agreed_works(
        case, wanted("open_seam"), wanted("loose_bar"), by=armand
    )
    factories.begun_work(begun, by=armand)

    later = factories.agreed_work(case, "string_set", by=armand)

    assert list(case.agreed_works.live()) == [begun, later]
    waiting.refresh_from_db()
    assert waiting.superseded_at is not None


def test_an_emergency_is_decided_with_a_reason_and_stands_in_the_log(case, helene, send):
    answer = send(
        "agree",
        case.number,
        by=helene,
        procedure="open_seam",
        because="The rib falls off, it is 3 in the morning.",
    )

    row = case.agreed_works.get()
    assert answer.status_code == 302
    assert (row.basis, row.noted_by, row.because[:12]) == ("emergency", helene, "The rib fall")
    line = LogEntry.objects.get(verb="work.agreed")
    assert (line.actor, line.details["basis"]) == (helene, "emergency")


def test_an_emergency_work_is_begun_before_the_owner_was_asked(case, helene, armand):
    row = agree_emergency(
        case, wanted("open_seam"), because="It falls apart.", by=helene, at=timezone.now()
    )

    work = factories.begun_work(row, by=armand)

    case.refresh_from_db()
    assert work.number == 1
    assert case.step == "taken_in"


def test_an_emergency_without_a_reason_is_refused_and_what_was_typed_stays(case, helene, send):
    answer = send(
        "agree", case.number, by=helene, procedure="open_seam", title="The rib", because="  "
    )

    assert 'value="The rib"' in answer.content.decode()
    assert "This field is required." in answer.content.decode()
    assert not case.agreed_works.exists()


@pytest.mark.parametrize("because", ["", "   "])
def test_the_verb_itself_refuses_an_emergency_without_a_reason(case, helene, because):
    with pytest.raises(NotAgreedError, match="reason in words"):
        agree_emergency(case, wanted("open_seam"), because=because, by=helene, at=timezone.now())


def test_the_database_knows_no_emergency_without_a_reason(case, helene):
    with pytest.raises(IntegrityError), transaction.atomic():
        AgreedWork.objects.create(
            case=case,
            number=1,
            version=pin("open_seam", at=timezone.now()),
            basis="emergency",
            agreed_at=timezone.now(),
        )


def test_nothing_that_cannot_be_undone_is_an_emergency(case, helene, send, see):
    assert 'value="wheel_truing"' not in see("agree", case.number, by=helene)
    answer = send("agree", case.number, by=helene, procedure="wheel_truing", because="Now.")
    assert "Select a valid choice" in answer.content.decode()

    with pytest.raises(NotAgreedError, match="no emergency"):
        agree_emergency(case, wanted("wheel_truing"), because="Now.", by=helene, at=timezone.now())

    assert not case.agreed_works.exists()


@pytest.mark.parametrize("person", ["armand", "lise", "odile", "tom"])
def test_only_the_principal_decides_in_an_emergency(case, request, send, person):
    answer = send(
        "agree",
        case.number,
        by=request.getfixturevalue(person),
        procedure="open_seam",
        because="Now.",
    )

    assert answer.status_code == 403
    assert not case.agreed_works.exists()


def test_work_of_the_house_is_agreed_by_the_principal_without_an_estimate(
    house_case, house, helene, send
):
    answer = send("agree", house_case.number, by=helene, procedure="wheel_truing")

    row = house_case.agreed_works.get()
    house_case.refresh_from_db()
    assert answer.status_code == 302
    assert (row.basis, row.irreversible_agreed, row.hourly_rate) == (
        "house",
        True,
        house.hourly_rate,
    )
    assert house_case.step == "agreed"


def test_what_belongs_to_somebody_is_not_agreed_as_the_house_s_own(case, helene):
    with pytest.raises(NotAgreedError, match="not the house’s own"):
        agree_house_work(case, [wanted("free")], Terms(basis="house"), by=helene, at=timezone.now())


def test_an_instrument_of_the_house_is_looked_over_first(vielle, armand, helene, send):
    case = factories.case(vielle, by=armand, reason="house")

    with pytest.raises(StepOrderError):
        agree_house_work(case, [wanted("free")], Terms(basis="house"), by=helene, at=timezone.now())
    answer = send("agree", case.number, by=helene, procedure="free", title="Keys")

    assert answer.status_code == 409
    assert 'value="Keys"' in answer.content.decode()
    assert not case.agreed_works.exists()


def test_nothing_is_agreed_for_an_instrument_that_has_gone(house_case, case, helene):
    for one in (house_case, case):
        Case.objects.filter(pk=one.pk).update(ended_at=timezone.now())
        one.refresh_from_db()

    with pytest.raises(NotAgreedError, match="has gone"):
        agree_house_work(
            house_case, [wanted("free")], Terms(basis="house"), by=helene, at=timezone.now()
        )
    with pytest.raises(NotAgreedError, match="has gone"):
        agree_emergency(case, wanted("free"), because="Now.", by=helene, at=timezone.now())


def test_work_that_is_not_begun_is_given_up_with_a_reason(case, agreed, armand, client, send):
    send("drop", case.number, agreed.number, by=armand, because="The owner sells it.")

    assert not case.agreed_works.live().exists()
    page = client.get(case.get_absolute_url()).text
    assert "given up by Armand Sautarel, because The owner sells it." in page
    assert "not begun" not in page


def test_work_is_not_given_up_without_a_reason(case, agreed, armand, send):
    send("drop", case.number, agreed.number, by=armand, because=" ")

    assert list(case.agreed_works.live()) == [agreed]


def test_work_that_was_begun_is_not_given_up(work, armand):
    with pytest.raises(NotAgreedError, match="begun is not given up"):
        drop_work(work.agreed, because="too long", by=armand, at=timezone.now())


def test_what_was_given_up_keeps_its_first_reason(agreed, armand, helene):
    drop_work(agreed, because="sold", by=armand, at=timezone.now())

    with pytest.raises(NotAgreedError, match="no longer stands"):
        drop_work(agreed, because="burnt", by=helene, at=timezone.now())

    agreed.refresh_from_db()
    assert (agreed.dropped_because, agreed.dropped_by) == ("sold", armand)


def test_giving_up_what_alone_was_left_proves_the_case(case, armand):
    """Else a case whose other works are all signed off would never leave the bench."""
    done, left = factories.agreed_works(case, wanted("free"), wanted("loose_bar"), by=armand)
    factories.signed_off(
        factories.ticked(factories.begun_work(done, by=armand), by=armand), by=armand
    )

    drop_work(left, because="not needed", by=armand, at=timezone.now())

    case.refresh_from_db()
    last = case.moves.last()
    assert (case.step, last.by) == ("proved", armand)
    assert "given up" in last.because


def test_giving_up_work_before_any_was_begun_moves_nothing(case, agreed, armand):
    drop_work(agreed, because="sold", by=armand, at=timezone.now())

    case.refresh_from_db()
    assert case.step == "agreed"


@pytest.mark.parametrize(("by_link", "step"), [(False, "on_bench"), (True, "proved")])
def test_a_new_agreement_after_the_proof_puts_the_case_back_on_the_bench(
    case, plain_work, armand, by_link, step
):
    """By a link nobody of the house was there: then the work itself does it, when it is begun."""
    factories.signed_off(factories.ticked(plain_work, by=armand), by=armand)
    case.refresh_from_db()
    assert case.step == "proved"

    agreed = factories.agreed_work(case, "loose_bar", by=None if by_link else armand)

    case.refresh_from_db()
    assert case.step == step
    factories.begun_work(agreed, by=armand)
    case.refresh_from_db()
    assert (case.step, case.moves.last().by) == ("on_bench", armand)
    assert case.moves.last().because != ""


def test_the_docket_of_the_house_s_own_instrument_waits_for_no_owner(vielle, armand, client):
    case = factories.case(vielle, by=armand, reason="house")
    client.force_login(armand)

    page = client.get(case.get_absolute_url()).text

    assert "The principal says what is done to an instrument of the house" in page
    assert "when the owner has agreed" not in page
