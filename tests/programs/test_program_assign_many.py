"""Assigning to many: the filter in the address, what would be flagged for each before the press, and the press."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from clients.models import Place, Precaution, Screening
from programs.models import PlannedExercise, PlannedSession, Program, Rollout, StrengthEstimate
from programs.rollout.forms import mondays
from programs.services import assign_program
from programs.services.versions import save_version
from tests.factories.calendar import AbsenceFactory
from tests.factories.clients import (
    ClientFactory,
    EquipmentFactory,
    PlaceFactory,
    PrecautionFactory,
    ScreeningFactory,
)
from tests.factories.practice import MembershipFactory
from tests.factories.programs import (
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)

pytestmark = pytest.mark.django_db


def start() -> date:
    return mondays(timezone.localdate())[0]


@pytest.fixture
def template(desk: Any) -> Program:
    """Four weeks, three days: bench press at 75 % twice, overhead dumbbell press by effort to failure once."""
    made = ProgramFactory(coach=desk, name="Base")
    bench = ExerciseFactory(name="Bench press")
    overhead = ExerciseFactory(
        name="Overhead press", equipment_kind="dumbbell", pattern="vertical_press", muscles={"front_delts": 1000}
    )
    failing = scheme_json(load_kind="percent", load_value="70", reps="failure")
    for week in range(1, 5):
        for day, exercise in ((0, bench), (2, bench), (4, overhead)):
            session = PlannedSessionFactory(program=made, week_no=week, day=day)
            extra = {"scheme": failing} if exercise is overhead else {}
            PlannedExerciseFactory(session=session, exercise=exercise, **extra)
    return made


@pytest.fixture
def both(desk: Any) -> Place:
    place = PlaceFactory(practice=desk.practice, name="Both")
    EquipmentFactory(place=place)
    EquipmentFactory(place=place, dumbbells=True)
    return place


def ready(desk: Any, template: Program, place: Place, name: str, **more: Any) -> Any:
    """A client for whom nothing is open."""
    client = ClientFactory(coach=desk, name=name, place=place, **more)
    ScreeningFactory(client=client, asked_on=start() - timedelta(days=9), expires_on=start() + timedelta(days=300))
    for exercise in {e.exercise for e in PlannedExercise.objects.filter(session__block__program=template)}:
        StrengthEstimate.objects.create(
            client=client, exercise=exercise, mean_kg=80, low_kg=75, high_kg=85, sd_log=0.03, trend_per_week=0,
            p_rising=0.5, last_on=start(), count=3,
        )  # fmt: skip
    return client


def row_of(page: Any, client: Any) -> dict[str, str]:
    """Column -> 'severity: words' of the client's row, those that say something."""
    (row,) = [row for row in page.context["page"].preview.rows if row.client.pk == client.pk]
    names = ("screening", "precautions", "maxima", "equipment", "days", "minutes", "running", "away")
    found = {name: getattr(row, name) for name in names}
    return {name: f"{one.severity}: {one.words}" for name, one in found.items() if one}


def url_of(template: Program) -> str:
    return reverse("programs:program_assign_many", args=[template.pk])


def test_a_client_for_whom_all_fits_has_nothing_open(as_coach, desk, template, both):
    page = as_coach.get(url_of(template))
    assert page.context["page"].preview.demands.days == 3
    client = ready(desk, template, both, "Vera")
    assert row_of(as_coach.get(url_of(template)), client) == {}


def test_each_thing_that_speaks_against_is_said_before_anything_is_written(as_coach, desk, template, both):
    client = ready(desk, template, both, "Vera")
    Screening.objects.filter(client=client).update(expires_on=start() - timedelta(days=1))
    StrengthEstimate.objects.filter(client=client, exercise__name="Bench press").delete()
    client.days_per_week, client.minutes_per_session = 2, 10
    longer = PlannedExercise.objects.filter(session__block__program=template, exercise__name="Bench press")
    longer.update(scheme=scheme_json(sets="8"))
    client.place = PlaceFactory(practice=desk.practice, name="Home")
    EquipmentFactory(place=client.place, dumbbells=True)
    client.save()
    PrecautionFactory(client=client, words="Sore shoulder", code="no_overhead")
    AbsenceFactory(client=client, first_on=start(), last_on=start() + timedelta(days=6))
    other = ProgramFactory(coach=desk, client=client, name="Autumn block", start_on=start() - timedelta(weeks=2))
    page = as_coach.get(url_of(template), {"start": start().isoformat()})
    found = row_of(page, client)
    minutes = found.pop("minutes")
    until = other.start_on + timedelta(days=27)
    assert found == {
        "screening": f"stop: expired by {start():%a} {start().day} {start():%b}",
        "precautions": "check: Sore shoulder: Overhead press",
        "maxima": "note: 1 of 2: Bench press",
        "equipment": "check: no bar and plates: Bench press",
        "days": "check: 3 days a week, has 2",
        "running": f"check: Autumn block, until {until:%a} {until.day} {until:%b}",
        "away": found["away"],
    }
    assert minutes.startswith("check: about ")
    assert minutes.endswith(" min, has 10")
    assert found["away"].startswith("note: holiday ")
    assert Program.objects.filter(client=client).count() == 1
    later = as_coach.get(url_of(template), {"start": (start() + timedelta(weeks=3)).isoformat()})
    assert "running" not in row_of(later, client)


def test_a_muscle_under_a_precaution_counts_only_near_failure(as_coach, desk, template, both):
    client = ready(desk, template, both, "Vera")
    row = PrecautionFactory(client=client, words="Shoulder", muscle="front_delts")
    assert row_of(as_coach.get(url_of(template)), client) == {"precautions": "check: Shoulder: Overhead press"}
    Precaution.objects.filter(pk=row.pk).update(muscle="chest")  # bench press leaves two in reserve
    assert "precautions" not in row_of(as_coach.get(url_of(template)), client)


def test_never_screened_and_no_place_are_said(as_coach, desk, template):
    client = ClientFactory(coach=desk)
    found = row_of(as_coach.get(url_of(template)), client)
    assert found["screening"] == "stop: not screened"
    assert found["equipment"] == "note: place of training not known"
    assert found["maxima"] == "note: 2 of 2: Bench press, Overhead press"


def test_equipment_is_looked_for_where_the_session_is(as_coach, desk, template, both):
    client = ready(desk, template, both, "Vera")
    PlannedSession.objects.filter(block__program=template, day=4).update(
        place=PlaceFactory(practice=desk.practice, name="Hotel")
    )
    assert row_of(as_coach.get(url_of(template)), client) == {"equipment": "check: no dumbbells: Overhead press"}


def names(page: Any) -> list[str]:
    return [row.client.name for row in page.context["page"].preview.rows]


def test_the_filter_is_in_the_address(as_coach, as_owner, desk, template, both):
    ready(desk, template, both, "Ana Size", goal="size", level="novice", days_per_week=5)
    ready(desk, template, both, "Åsa Strong", goal="strength", level="advanced", days_per_week=2)
    busy = ClientFactory(coach=desk, name="Busy One", goal="health")
    ProgramFactory(coach=desk, client=busy, start_on=start())
    ClientFactory(coach=desk, archived=True, name="Gone")
    colleague = MembershipFactory(practice=desk.practice)
    ClientFactory(coach=colleague, name="Of a colleague")
    url = url_of(template)
    assert names(as_coach.get(url)) == ["Ana Size", "Åsa Strong", "Busy One"]
    for asked, found in (
        ({"goal": "size"}, ["Ana Size"]), ({"level": "advanced"}, ["Åsa Strong"]), ({"days": "4"}, ["Ana Size"]),
        ({"place": both.pk}, ["Ana Size", "Åsa Strong"]), ({"free": "on"}, ["Ana Size", "Åsa Strong"]),
        ({"q": "asa"}, ["Åsa Strong"]), ({"goal": "nonsense"}, ["Ana Size", "Åsa Strong", "Busy One"]),
    ):  # fmt: skip
        assert names(as_coach.get(url, asked)) == found, asked
    assert names(as_owner.get(url, {"coach": colleague.pk})) == ["Of a colleague"]
    assert len(names(as_owner.get(url))) == 4
    ticked = as_coach.get(url, {"tick": "clear"})
    assert ticked.content.decode().count(" checked") == 1  # the other one has fewer days than it takes
    assert as_coach.get(url, {"tick": "all", "goal": "size"}).content.decode().count(" checked") == 1


def test_pressing_assigns_and_one_press_undoes_it(as_coach, desk, template, both):
    clients = [ready(desk, template, both, name) for name in ("Ana", "Bo", "Cy")]
    url = f"{url_of(template)}?start={start().isoformat()}"
    answer = as_coach.post(url, {"client": [clients[0].pk, clients[2].pk]})
    rollout = Rollout.objects.get()
    assert answer.url == reverse("programs:rollout_detail", args=[rollout.pk])
    assert list(Program.objects.filter(client__in=clients).values_list("client__name", "start_on")) == [
        ("Ana", start()), ("Cy", start()),
    ]  # fmt: skip
    assert rollout.of.number == 1
    page = as_coach.get(answer.url).content.decode()
    assert "Done: 2 of 2" in page
    assert "Undo all 2" in page
    as_coach.post(reverse("programs:rollout_undo", args=[rollout.pk]))
    assert not Program.objects.filter(client__in=clients).exists()
    assert "Undone" in as_coach.get(answer.url).content.decode()


def test_a_chosen_version_is_given_as_it_was(as_coach, desk, template, both, now):
    save_version(by=desk, program=template, note="", now=now)
    PlannedSession.objects.filter(block__program=template, day=4).delete()
    client = ready(desk, template, both, "Ana")
    assert as_coach.get(url_of(template)).context["page"].preview.demands.days == 2
    url = f"{url_of(template)}?of=1"
    assert as_coach.get(url).context["page"].preview.demands.days == 3
    as_coach.post(url, {"client": client.pk})
    assert PlannedSession.objects.filter(block__program__client=client).count() == 12


def test_nobody_ticked_and_somebody_elses_client_are_refused_with_the_ticks_kept(as_coach, desk, template, both):
    mine = ready(desk, template, both, "Ana")
    theirs = ClientFactory(coach=MembershipFactory(practice=desk.practice))
    nobody = as_coach.post(url_of(template), {})
    assert nobody.status_code == 422
    assert "tick at least one client" in nobody.content.decode()
    refused = as_coach.post(url_of(template), {"client": [mine.pk, theirs.pk, "nonsense", "9" * 40]})
    assert refused.status_code == 422
    assert "1 of those chosen is gone from your clients" in refused.content.decode()
    assert f'id="tick-{mine.pk}" value="{mine.pk}" checked' in refused.content.decode()
    assert not Rollout.objects.exists()


def test_a_second_press_leads_to_the_first(as_coach, desk, template, both, monkeypatch):
    client = ready(desk, template, both, "Ana")
    monkeypatch.setattr("programs.rollout.views.begin", lambda rollout: None)
    first = as_coach.post(url_of(template), {"client": client.pk})
    assert as_coach.post(url_of(template), {"client": client.pk}).url == first.url
    assert Rollout.objects.count() == 1


def test_an_empty_template_says_so(as_coach, desk):
    page = as_coach.get(url_of(ProgramFactory(coach=desk)))
    assert "There is nothing to give yet" in page.content.decode()


def test_the_page_asks_as_often_for_three_clients_as_for_one(as_coach, desk, template, both, now):
    counts = []
    for more in (["Ana"], ["Bo", "Cy"]):
        for name in more:
            client = ready(desk, template, both, name)
            PrecautionFactory(client=client, code="no_overhead", muscle="chest")
            AbsenceFactory(client=client, first_on=start(), last_on=start())
            assign_program(by=desk, program=template, client=client, start_on=start(), today=start(), now=now)
        as_coach.get(url_of(template))
        with CaptureQueriesContext(connection) as caught:
            assert as_coach.get(url_of(template)).status_code == 200
        counts.append(len(caught))
    assert counts[0] == counts[1] <= 20
