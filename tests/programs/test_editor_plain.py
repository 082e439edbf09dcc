"""The editor without scripts, and what it says to bad input: every control posts by its own plain form."""

from html.parser import HTMLParser

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from coachdesk import engine
from programs.models import PlannedExercise, PlannedSession
from tests.factories.clients import ClientFactory, PlaceFactory
from tests.factories.programs import ExerciseFactory, PlannedExerciseFactory, PlannedSessionFactory, ProgramFactory

pytestmark = pytest.mark.django_db


class Forms(HTMLParser):
    """What a browser would send of each form: {form id or its action: {name: value}}, `form=` honoured."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.actions: dict[str, str] = {}
        self.sent: dict[str, dict[str, str]] = {}
        self._open, self._select = "", ("", "")
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        at = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._open = at.get("id") or at["action"]
            self.actions[self._open] = at["action"]
        form = at.get("form") or self._open
        if tag == "input" and at.get("name") and at.get("type") not in ("checkbox", "radio"):
            self.sent.setdefault(form, {})[at["name"]] = at.get("value", "")
        if tag == "select":
            self._select = (form, at["name"])
            self.sent.setdefault(form, {}).setdefault(at["name"], None)
        if tag == "option" and self._select[1]:
            values = self.sent[self._select[0]]
            if "selected" in at or values[self._select[1]] is None:
                values[self._select[1]] = at.get("value", "")

    def handle_endtag(self, tag):
        if tag == "form":
            self._open = ""
        if tag == "select":
            self._select = ("", "")


@pytest.fixture
def row(desk):
    client = ClientFactory(coach=desk, place=PlaceFactory(practice=desk.practice))
    session = PlannedSessionFactory(program=ProgramFactory(coach=desk, client=client))
    return PlannedExerciseFactory(session=session, exercise=ExerciseFactory(name="Bench press"))


def shown(http: Browser, row: PlannedExercise) -> Forms:
    url = reverse("programs:program_detail", args=[row.session.block.program_id])
    return Forms(http.get(url, {"session": row.session_id}).content.decode())


def send(http: Browser, page: Forms, name: str, **typed: str):
    form = next(key for key, action in page.actions.items() if name in key or name in action)
    return http.post(page.actions[form], {**page.sent[form], **typed})


def words(row: PlannedExercise) -> str:
    row.refresh_from_db()
    return engine.scheme_words(engine.scheme_from_json(row.scheme))


def test_a_row_sent_as_it_was_drawn_changes_nothing(as_coach, row):
    assert send(as_coach, shown(as_coach, row), f"row-{row.pk}-form").status_code == 302
    row.refresh_from_db()
    assert row.version == 1


def test_everything_in_a_row_is_changed_by_its_plain_form(as_coach, row):
    answer = send(
        as_coach, shown(as_coach, row), f"row-{row.pk}-form", written="4 x 5 @ 80 %", cue="Elbows in",
        private_note="Shoulder", group="A", side="l",
    )  # fmt: skip
    assert answer.status_code == 302
    assert f"session={row.session_id}" in answer["Location"]
    assert words(row) == "4 x 5 @ 80 %, left, rest 2 min"
    assert (row.cue, row.private_note, row.group) == ("Elbows in", "Shoulder", "A")


def test_an_exercise_is_added_placed_and_undone_by_plain_forms(as_coach, row):
    page = shown(as_coach, row)
    assert send(as_coach, page, "/exercises/new/", line="Bench press 5 x 3 @ 85 %").status_code == 302
    made = PlannedExercise.objects.latest("id")
    assert words(made) == "5 x 3 @ 85 %, rest 2 min"
    assert send(as_coach, page, "/undo/").status_code == 302
    assert PlannedExercise.objects.count() == 1


def test_the_place_of_a_session_is_chosen_in_the_editor(as_coach, row, desk):
    place = PlaceFactory(practice=desk.practice, name="Garage")
    answer = send(as_coach, shown(as_coach, row), f"/sessions/{row.session_id}/edit/", place=str(place.pk))
    assert answer.status_code == 302
    assert PlannedSession.objects.get(pk=row.session_id).place == place


def test_5000_fields_are_refused_in_words(as_coach, row):
    url = reverse("programs:planned_exercise_edit", args=[row.pk])
    answer = as_coach.post(url, {f"field{n}": "x" for n in range(5000)}, HTTP_HX_REQUEST="true")
    assert answer.status_code == 413
    assert "At most 1,000 fields" in answer.content.decode()
    row.refresh_from_db()
    assert row.version == 1


def test_a_client_archived_meanwhile_is_said_with_the_answer_and_the_edit_stands(as_coach, row):
    page = shown(as_coach, row)
    client = row.session.block.program.client
    client.archived_on = timezone.localdate()
    client.save()
    form = f"row-{row.pk}-form"
    answer = as_coach.post(page.actions[form], {**page.sent[form], "written": "5 x 5 @ 70 %"}, HTTP_HX_REQUEST="true")
    assert answer.status_code == 200
    assert f"{client.name} is archived" in answer.content.decode()
    assert words(row) == "5 x 5 @ 70 %, rest 2 min"


@pytest.mark.parametrize(
    "text", ["x" * 401, "\x00", "\N{RIGHT-TO-LEFT OVERRIDE}3 x 8", "3 x 8 @ 75 %" * 30, "<b>3</b>"]
)
@pytest.mark.parametrize("field", ["written", "cue", "private_note"])
def test_hostile_text_never_breaks_a_row(as_coach, row, field, text):
    page = shown(as_coach, row)
    form = f"row-{row.pk}-form"
    answer = as_coach.post(page.actions[form], {**page.sent[form], field: text}, HTTP_HX_REQUEST="true")
    assert answer.status_code in (200, 422)
    assert "<b>3</b>" not in answer.content.decode()
    assert words(row) == "3 x 8 @ 75 %, rest 2 min"
