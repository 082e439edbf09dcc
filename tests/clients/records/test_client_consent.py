"""Consent to health notes: without it nothing is asked or kept; taking it back erases what was kept, for good."""

from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from clients.models import Client, HealthConsent, Precaution, Screening
from clients.records.erased import HEALTH, erased
from clients.records.services import erase_again, take_consent_back
from clients.services import add_precaution, create_client, edit_client, record_consent, record_screening
from coachdesk.practice.models import Act, Change
from coachdesk.practice.tape import UndoConflict, undo
from programs.intake.plan import make_plan
from programs.intake.reading import read_table
from programs.intake.services import import_clients
from programs.logs.services import record_pain
from programs.models import IssuedSheet, PainReport
from tests.factories.clients import ALL_NO, ClientFactory, ScreeningFactory
from tests.factories.marked import MARKER, whole_client
from tests.traces import tables, traces

pytestmark = pytest.mark.django_db
ANSWERS = {name: value for name, value in ALL_NO.items() if name != "v"}


@pytest.fixture
def unasked(desk) -> Client:
    return ClientFactory(coach=desk, name="Una Asked", consent=False)


def test_nothing_about_health_is_kept_without_consent(desk, unasked, now):
    with pytest.raises(ValidationError, match="has not been asked"):
        record_screening(by=desk, client=unasked, now=now, asked_on=now.date(), answers=ANSWERS)
    with pytest.raises(ValidationError, match="has not been asked"):
        add_precaution(by=desk, client=unasked, now=now, words="Knee")
    with pytest.raises(ValidationError, match="has not been asked"):
        edit_client(by=desk, client=unasked, version=1, now=now, body_mass=80_000)
    assert not Screening.objects.exists()
    assert not Precaution.objects.exists()
    assert Client.objects.get(pk=unasked.pk).body_mass is None


def test_a_pain_note_is_refused_and_the_points_are_kept(desk, now):
    client = whole_client(desk, now)
    take_consent_back(by=desk, client=client, now=now, erase=False)
    log, report = client.session_logs.get(), PainReport.objects.get()
    told = {"by": desk, "session_log": log, "exercise_id": report.exercise_id, "version": 1, "now": now}
    with pytest.raises(ValidationError, match="does not agree"):
        record_pain(**told, values={"pain": 3, "next_morning": None, "note": "stabbing"})
    assert record_pain(**told, values={"pain": 3, "next_morning": None, "note": ""}).pain == 3


def test_a_new_client_has_a_body_mass_only_with_consent(desk, now):
    with pytest.raises(ValidationError, match="Una has not been asked"):
        create_client(by=desk, now=now, name="Una", body_mass=80_000)
    assert not Client.objects.exists()
    una = create_client(by=desk, now=now, name="Una", body_mass=80_000, consent_on=date(2026, 11, 20))
    consent = una.health_consents.get()
    assert (una.body_mass, consent.asked_on, consent.holds, consent.asked_by) == (
        80_000,
        date(2026, 11, 20),
        True,
        desk,
    )
    with pytest.raises(ValidationError, match="in the future"):
        create_client(by=desk, now=now, name="Tom", body_mass=80_000, consent_on=date(2026, 11, 25))
    assert Client.objects.get() == una


def test_a_file_brings_consent_with_its_day_and_undo_takes_it_back(desk, now):
    table = read_table("name,consent_on,body_mass\nUna,2026-11-20,80\nTom,2026-11-21,\nIda,,\n")
    import_clients(by=desk, plan=make_plan(table, by=desk, today=now.date()), now=now)
    found = HealthConsent.objects.order_by("asked_on").values_list("client__name", "asked_on", "given")
    assert list(found) == [("Una", date(2026, 11, 20), True), ("Tom", date(2026, 11, 21), True)]
    assert Client.objects.get(name="Una").body_mass == 80_000
    back = undo(Act.objects.latest("id"), by=desk)
    assert not Client.objects.exists()
    assert not HealthConsent.objects.exists()
    undo(back, by=desk)
    assert list(found.all()) == [("Una", date(2026, 11, 20), True), ("Tom", date(2026, 11, 21), True)]


@pytest.mark.parametrize("name", ["screening_new", "precaution_new"])
def test_pages_about_health_ask_for_consent_first(as_coach, unasked, name):
    url = reverse(f"clients:{name}", args=[unasked.pk])
    page = as_coach.get(url).content.decode()
    assert "Ask first whether health notes may be kept" in page
    assert reverse("clients:client_consent", args=[unasked.pk]) in page
    assert as_coach.post(url, {**ANSWERS, "asked_on": "2026-11-24", "words": "Knee"}).status_code == 422
    HealthConsent.objects.create(client=unasked, asked_on=date(2026, 11, 1), given=False, words="Asked.")
    assert "does not agree" in as_coach.get(url).content.decode()
    HealthConsent.objects.create(client=unasked, asked_on=date(2026, 11, 2), given=True, words="Asked.")
    assert '<form class="stack"' in as_coach.get(url).content.decode()


def test_the_profile_asks_the_body_mass_of_those_who_agreed_only(as_coach, desk, unasked):
    url = reverse("clients:client_edit", args=[unasked.pk])
    assert "id_body_mass" not in as_coach.get(url).content.decode()
    assert "id_body_mass" not in as_coach.get(reverse("clients:client_new")).content.decode()
    agreed = reverse("clients:client_edit", args=[ClientFactory(coach=desk).pk])
    assert "id_body_mass" in as_coach.get(agreed).content.decode()


def test_a_body_mass_that_is_there_survives_a_profile_saved_without_consent(as_coach, unasked):
    Client.objects.filter(pk=unasked.pk).update(body_mass=80_000, body_mass_on=date(2026, 1, 1))
    url = reverse("clients:client_edit", args=[unasked.pk])
    form = as_coach.get(url).context["form"]
    typed = {name: form[name].value() or "" for name in form.fields}
    assert as_coach.post(url, {**typed, "name": "Una B", "body_mass": "90"}).status_code == 302
    row = Client.objects.get(pk=unasked.pk)
    assert (row.name, row.body_mass) == ("Una B", 80_000)


def test_the_answer_is_kept_with_day_words_and_who_asked(as_coach, desk, unasked):
    url = reverse("clients:client_consent", args=[unasked.pk])
    assert as_coach.post(url, {"asked_on": "2026-11-20", "words": "May I?", "given": "yes"}).status_code == 302
    row = unasked.health_consents.get()
    assert (row.asked_on, row.words, row.asked_by, row.holds) == (date(2026, 11, 20), "May I?", desk, True)
    page = as_coach.get(reverse("clients:client_records", args=[unasked.pk])).content.decode()
    assert "Ana Reis" in page
    assert "May I?" in page


@pytest.mark.parametrize(
    "typed",
    [
        {}, {"given": "maybe"}, {"asked_on": "2999-01-01"}, {"asked_on": "x"}, {"words": ""}, {"words": "x" * 1001},
        {"words": "x" * 1_000_000}, {"given": ""}, {"asked_on": "\x00"},
    ],
)  # fmt: skip
def test_a_bad_answer_is_not_kept(as_coach, unasked, typed):
    good = {"asked_on": "2026-11-20", "words": "May I?", "given": "yes"} if typed else {}
    answer = as_coach.post(reverse("clients:client_consent", args=[unasked.pk]), {**good, **typed})
    assert answer.status_code == 422
    assert not unasked.health_consents.exists()


def test_an_answer_older_than_the_latest_is_refused(desk, now):
    client = ClientFactory(coach=desk)
    with pytest.raises(ValidationError, match="asked on 05 Jan 2026"):
        record_consent(by=desk, client=client, now=now, asked_on=date(2025, 1, 1), given=True, words="Asked.")


def marked_health(desk, now) -> Client:
    """Health notes made and changed by the services, so that the tape holds them too."""
    client = whole_client(desk, now)
    add_precaution(by=desk, client=client, now=now, words=f"{MARKER} knee")
    record_screening(by=desk, client=client, now=now, asked_on=now.date(), answers=ANSWERS, note=MARKER)
    edit_client(by=desk, client=client, version=client.version, now=now, body_mass=7_319_047)
    log, report = client.session_logs.get(), PainReport.objects.get()
    values = {"pain": 3, "next_morning": None, "note": MARKER}
    record_pain(by=desk, session_log=log, exercise_id=report.exercise_id, version=1, values=values, now=now)
    sheet = IssuedSheet.objects.filter(client=client)[0]
    sheet.body["cautions"] = [MARKER]
    sheet.save()
    return client


def test_taking_it_back_can_erase_every_health_note(as_coach, desk, now):
    client = marked_health(desk, now)
    assert len(traces(tables())) > 5
    url = reverse("clients:consent_withdraw", args=[client.pk])
    assert as_coach.post(url, {"erase": "1"}).status_code == 302
    assert not traces(tables())
    assert "7319047" not in tables()
    assert not client.screenings.exists()
    assert not client.precautions.exists()
    assert client.session_logs.get().sets.exists()
    assert client.health_consents.get().erased_at is not None
    assert as_coach.post(url, {"erase": "1"}).status_code == 302


def test_taking_it_back_alone_keeps_what_was_there(as_coach, desk, now):
    client = marked_health(desk, now)
    assert as_coach.post(reverse("clients:consent_withdraw", args=[client.pk])).status_code == 302
    assert client.precautions.exists()
    assert "still here until it is erased" in as_coach.get(f"/clients/{client.pk}/records/").content.decode()


def test_erased_health_notes_do_not_come_back_by_undo(desk, now):
    client = marked_health(desk, now)
    made = Act.objects.get(changes__model="clients.precaution", changes__after__words=f"{MARKER} knee")
    take_consent_back(by=desk, client=client, now=now, erase=True)
    with pytest.raises(UndoConflict):
        undo(made, by=desk)
    undo(Act.objects.latest("id"), by=desk)
    assert not client.precautions.exists()
    assert not Change.objects.filter(model="clients.precaution", before__isnull=False).exists()


def test_an_old_copy_put_back_is_erased_of_health_notes_once(desk, now):
    client = ClientFactory(coach=desk)
    take_consent_back(by=desk, client=client, now=now, erase=True)
    assert [one.what for one in erased()] == [HEALTH]
    assert erase_again(now=now) == 0
    # As the old copy has it: consent holds, and a note is there.
    HealthConsent.objects.filter(client=client).update(withdrawn_on=None, erased_at=None)
    ScreeningFactory(client=client)
    erase_again(now=now)
    assert not client.screenings.exists()
    assert not client.health_consents.get().holds
    # Notes made under a new consent stay.
    record_consent(by=desk, client=client, now=now, asked_on=now.date(), given=True, words="Asked again.")
    ScreeningFactory(client=client)
    erase_again(now=now)
    assert client.screenings.exists()
