"""The library of schemes: every kind shown with an example, and the practice's own kept, changed and deleted."""

import pytest
from django.urls import reverse

from coachdesk import engine
from coachdesk.practice.models import Act
from programs.models import Scheme
from programs.scheme_notes import NOTES, note_of, start_of
from tests.factories.programs import SchemeFactory

pytestmark = pytest.mark.django_db
LIST = "/schemes/"
NEW = "/schemes/new/"
DROPS = {"name": "Ladder", "kind": "drop_set", "sets": "1", "reps": "failure", "ladder": "80/65/50", "rest": "120"}
KINDS = [kind for kind in engine.SCHEMES if kind != "series"]


def edit_url(row):
    return reverse("programs:scheme_edit", args=[row.pk])


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_an_example_that_the_engine_reads_and_words_of_its_own(kind):
    assert engine.scheme_from_fields(start_of(kind), "kg").kind == kind
    assert NOTES[kind].use
    assert set(NOTES[kind].uses) <= set(engine.FIELDS)


def test_a_kind_nobody_wrote_about_gets_what_its_technique_implies():
    assert note_of("not yet known").use == ""


def test_list_shows_every_kind_with_sentence_notation_picture_and_numbers(as_coach):
    answer = as_coach.get(LIST)
    rows = answer.context["kinds"]
    assert [row.kind.kind for row in rows] == KINDS
    assert all(row.picture for row in rows)
    text = answer.content.decode()
    assert text.count('class="profile full"') == len(KINDS)
    for row in rows:
        assert row.kind.sentence in text


def test_straight_sets_example_shows_the_loads_of_a_100_kg_maximum(as_coach):
    straight = next(row for row in as_coach.get(LIST).context["kinds"] if row.kind.kind == "straight")
    assert [one.step.load for one in straight.picture.trial.steps] == [80_000] * 3


def test_kept_scheme_is_listed_in_written_notation(as_coach, desk):
    SchemeFactory(practice=desk.practice, name="Evening ladder")
    text = as_coach.get(LIST).content.decode()
    assert "Evening ladder" in text
    assert "1 x (80/65/50 % to failure)" in text


def test_a_value_the_engine_no_longer_reads_is_said_and_nothing_breaks(as_coach, desk):
    row = SchemeFactory(practice=desk.practice, value={"v": 1, "kind": "gone"})
    assert as_coach.get(LIST).status_code == 200
    assert as_coach.get(edit_url(row)).status_code == 200
    assert as_coach.get("/compare/", {"a-kind": "straight", "b-kind": f"saved-{row.pk}"}).status_code in (200, 422)


def test_keeping_changing_and_deleting_are_acts_that_can_be_undone(as_coach, desk):
    assert as_coach.post(NEW, DROPS).status_code == 302
    row = Scheme.objects.get()
    as_coach.post(edit_url(row), {**DROPS, "ladder": "80/60", "version": 1})
    row.refresh_from_db()
    assert (row.version, len(row.value["drops"])) == (2, 1)
    as_coach.post(reverse("programs:scheme_delete", args=[row.pk]))
    assert not Scheme.objects.exists()
    act = Act.objects.filter(practice=desk.practice).latest("id")
    assert act.label == "Delete scheme Ladder"
    as_coach.post(reverse("practice:act_undo", args=[act.pk]))
    assert Scheme.objects.get().name == "Ladder"


@pytest.mark.parametrize(
    ("field", "value"),
    [("name", ""), ("name", "x" * 81), ("ladder", "80/x"), ("kind", "none"), ("sets", "21"), ("side", "up"),
     ("hold", "on"), ("rest", "99999"), ("ladder", "")],
)  # fmt: skip
@pytest.mark.parametrize("edit", [True, False])
def test_bad_field_is_named_and_what_was_typed_stays(as_coach, desk, field, value, edit):
    row = SchemeFactory(practice=desk.practice, name="Old")
    answer = as_coach.post(edit_url(row) if edit else NEW, {**DROPS, "version": "1", field: value})
    assert answer.status_code == 422
    assert f'id="id_{field}_error"' in answer.content.decode()
    assert 'value="failure"' in answer.content.decode()
    row.refresh_from_db()
    assert (row.name, Scheme.objects.count()) == ("Old", 1)


def test_two_people_on_one_scheme_meet_field_by_field(as_coach, as_owner, desk):
    row = SchemeFactory(practice=desk.practice, name="Ladder")
    assert as_owner.post(edit_url(row), {**DROPS, "name": "Long ladder", "version": 1}).status_code == 302
    assert as_coach.post(edit_url(row), {**DROPS, "ladder": "80/60", "version": 1}).status_code == 302
    row.refresh_from_db()
    assert (row.name, len(row.value["drops"])) == ("Long ladder", 1)


def test_a_clash_answers_409_with_both_in_words_and_saves_on_the_second_try(as_coach, as_owner, desk):
    row = SchemeFactory(practice=desk.practice, name="Ladder")
    as_owner.post(edit_url(row), {**DROPS, "ladder": "80/70", "version": 1})
    answer = as_coach.post(edit_url(row), {**DROPS, "ladder": "80/60", "version": 1})
    text = answer.content.decode()
    assert answer.status_code == 409
    assert "80/70 % to failure" in text
    assert 'value="80/60"' in text
    assert 'name="version" value="2"' in text
    assert as_coach.post(edit_url(row), {**DROPS, "ladder": "80/60", "version": 2}).status_code == 302


def test_new_scheme_starts_from_the_kind_in_the_address(as_coach):
    assert 'value="80/65/50"' in as_coach.get(NEW, {"kind": "drop_set"}).content.decode()
    assert as_coach.get(NEW, {"kind": "\0nonsense"}).status_code == 200


def test_assistant_sees_the_library_but_no_way_to_change_it(as_assistant, desk):
    row = SchemeFactory(practice=desk.practice)
    text = as_assistant.get(LIST).content.decode()
    assert row.name in text
    assert reverse("programs:scheme_delete", args=[row.pk]) not in text
    assert NEW not in text
