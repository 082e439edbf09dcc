"""Versions: immutable, numbered, compared in words; their changes applied to copies, one act, one undo."""

import json
from datetime import timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from coachdesk import engine
from coachdesk.practice.models import Act, Change
from coachdesk.practice.tape import UndoConflict, next_undo, undo, write
from programs.bodies import body_to_json, differences
from programs.models import PlannedExercise, PlannedSession, Program, TemplateVersion
from programs.selectors import visible_programs
from programs.selectors.versions import copy_rows, origin_of, present_body, running_counts, version_body
from programs.services import assign_program, create_program, save_as_template
from programs.services.exercises import remove_exercise, set_scheme, swap_exercise
from programs.services.programs import subject_of
from programs.services.versions import CopyMoved, apply_version, fingerprint, save_version
from tests.factories.clients import ClientFactory, PlaceFactory
from tests.factories.practice import MembershipFactory
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)
from tests.factories.whole import one_of_everything
from tests.test_access import ROUTES

pytestmark = pytest.mark.django_db
FIVE = engine.scheme_from_json(scheme_json(sets="5"))


def never(week: int, day: int) -> bool:
    return False


@pytest.fixture
def template(desk: Any) -> Program:
    """Four weeks; bench and row on the Monday of weeks 1 and 2."""
    made = ProgramFactory(coach=desk, name="Base")
    bench, row = ExerciseFactory(name="Bench press"), ExerciseFactory(name="Row", muscles={"lats": 1000})
    for week in (1, 2):
        session = PlannedSessionFactory(program=made, name="Upper A", week_no=week)
        for position, exercise in enumerate((bench, row), 1):
            PlannedExerciseFactory(session=session, exercise=exercise, position=position)
    return made


def rows_of(program: Program, name: str) -> list[PlannedExercise]:
    rows = PlannedExercise.objects.filter(session__block__program=program, exercise__name=name)
    return list(rows.select_related("session__block__program", "exercise").order_by("session__week_no"))


def assigned(desk: Any, template: Program, now: Any, name: str = "Vera") -> Program:
    client = ClientFactory(coach=desk, name=name)
    return assign_program(by=desk, program=template, client=client, start_on=MONDAY, today=MONDAY, now=now)


def test_a_version_keeps_the_template_as_it_was(desk, template, now):
    session = PlannedSession.objects.filter(block__program=template).first()
    assert session is not None
    session.place = PlaceFactory(practice=desk.practice, name="Hotel")
    session.note = "Åpen dør"
    session.save()
    before = present_body(template)
    version = save_version(by=desk, program=template, note=" First ", now=now)
    assert (version.number, version.note, version.by, version.at) == (1, "First", desk, now)
    remove_exercise(by=desk, planned=rows_of(template, "Row")[0])
    kept = version_body(TemplateVersion.objects.get())
    assert kept == before
    assert json.loads(json.dumps(body_to_json(before))) == version.body
    assert [one.words for one in differences(kept, present_body(template))] == ["Week 1, Mon Upper A: Row taken out"]


def test_saving_again_needs_a_change_and_something_to_save(desk, template, now):
    save_version(by=desk, program=template, note="", now=now)
    with pytest.raises(ValidationError, match="Nothing has changed since version 1"):
        save_version(by=desk, program=template, note="", now=now)
    set_scheme(by=desk, planned=rows_of(template, "Row")[0], scheme=FIVE)
    assert save_version(by=desk, program=template, note="", now=now).number == 2
    with pytest.raises(ValidationError, match="plan a session first"):
        save_version(by=desk, program=ProgramFactory(coach=desk), note="", now=now)
    copy = assigned(desk, template, now)
    with pytest.raises(ValidationError, match="belongs to a client"):
        save_version(by=desk, program=copy, note="", now=now)


def test_a_version_cannot_be_changed(desk, template, now):
    version = save_version(by=desk, program=template, note="", now=now)
    with write("Change history", by=desk) as tape:
        row = tape.lock(version)
        row.note = "Another"
        with pytest.raises(ValidationError, match="stays as it is"):
            tape.save(row)
    assert TemplateVersion.objects.get().note == ""


def test_no_page_changes_a_version(desk, owner, assistant, stranger, now, as_coach):
    ids = one_of_everything(desk, now)
    before = list(TemplateVersion.objects.order_by("id").values())
    as_coach.raise_request_exception = False  # what a page makes of rows that the page before put away is not asked
    for name in (name for name, (_kind, _thing, methods) in ROUTES.items() if "P" in methods):
        as_coach.post(reverse(name, args=ids[ROUTES[name][1]]), {"note": "x", "do": "apply", "number": "1"})
    after = {row["id"]: row for row in TemplateVersion.objects.values()}
    assert len(before) == 2
    assert all(after[row["id"]] == row for row in before)


def test_a_copy_is_made_of_the_version_that_holds_the_template_as_it_stands(desk, template, now):
    first = assigned(desk, template, now)
    assert first.origin_version is not None
    assert (first.origin_version.number, first.origin_version.note) == (1, "Saved when it was assigned")
    assert assigned(desk, template, now, "Rosa").origin_version == first.origin_version
    swap_exercise(by=desk, planned=rows_of(template, "Row")[0], exercise_id=ExerciseFactory(name="Pulldown").pk)
    second = assigned(desk, template, now, "Nils")
    assert second.origin_version is not None
    assert second.origin_version.number == 2
    assert differences(version_body(second.origin_version), present_body(second), named=False) == []
    assert set(present_body(second).exercises) == set(present_body(template).exercises)


def test_undoing_an_assignment_keeps_the_version_and_a_version_with_copies_stays(desk, template, now):
    copy = assigned(desk, template, now)
    saved, given = Act.objects.order_by("id")
    with pytest.raises(UndoConflict):
        undo(saved, by=desk)
    undo(given, by=desk)
    assert not Program.objects.filter(pk=copy.pk).exists()
    assert TemplateVersion.objects.count() == 1
    undo(saved, by=desk)
    assert not TemplateVersion.objects.exists()


def test_saving_a_version_is_no_step_of_the_editors_undo(desk, template, now):
    set_scheme(by=desk, planned=rows_of(template, "Row")[0], scheme=FIVE)
    assigned(desk, template, now)
    act = next_undo(desk.practice, subject_of(template))
    assert act is not None
    undo(act, by=desk)
    assert rows_of(template, "Row")[0].scheme == scheme_json()


def test_making_a_template_with_versions_is_undone_and_done_again(desk, now):
    program = create_program(by=desk, name="New", weeks=2)
    made = Act.objects.get()
    PlannedExerciseFactory(session=PlannedSessionFactory(program=program))
    version = save_version(by=desk, program=program, note="", now=now)
    with pytest.raises(UndoConflict, match="builds on this"):
        undo(made, by=desk)
    undo(Act.objects.latest("id"), by=desk)
    undone = undo(made, by=desk)
    assert not Program.objects.exists()
    undo(undone, by=desk)
    assert Program.objects.get().name == "New"
    assert version.pk


def test_changes_reach_a_copy_in_one_act_with_one_undo(desk, template, now):
    copy = assigned(desk, template, now)
    set_scheme(by=desk, planned=rows_of(copy, "Bench press")[0], scheme=FIVE)  # the coach's own
    set_scheme(by=desk, planned=rows_of(template, "Row")[1], scheme=FIVE)
    remove_exercise(by=desk, planned=rows_of(template, "Row")[0])
    face = PlannedExerciseFactory(session=rows_of(template, "Bench press")[0].session, position=9)
    extra = PlannedSessionFactory(program=template, week_no=3, name="Arms")
    PlannedExerciseFactory(session=extra, exercise=face.exercise)
    version = save_version(by=desk, program=template, note="", now=now)
    mine, acts, changes = present_body(copy), Act.objects.count(), Change.objects.count()
    apply_version(by=desk, program=copy, version=version, choices={}, seen=fingerprint(mine), frozen=never, now=now)
    after = present_body(copy)
    assert [one.words for one in differences(mine, after)] == [
        "Week 1, Mon Upper A: Row taken out",
        f"Week 1, Mon Upper A: {face.exercise.name} added: 3 x 8 @ 75 %, rest 2 min",
        "Week 2, Mon Upper A: Row 3 x 8 @ 75 %, rest 2 min -> 5 x 8 @ 75 %, rest 2 min",
        f"Week 3, Mon Arms: session added: {face.exercise.name} 3 x 8 @ 75 %, rest 2 min",
    ]
    assert rows_of(copy, "Bench press")[0].scheme == scheme_json(sets="5")
    copy.refresh_from_db()
    assert copy.origin_version == version
    assert Act.objects.count() == acts + 1
    act = next_undo(desk.practice, subject_of(copy))
    assert act is not None
    assert act.label == "Apply version 2 of Base"
    assert Change.objects.count() - changes == act.changes.count() > 4
    undo(act, by=desk)
    assert present_body(copy) == mine
    copy.refresh_from_db()
    assert copy.origin_version is not None
    assert copy.origin_version.number == 1


def test_a_copy_that_moved_since_the_preview_is_left_alone(desk, template, now):
    copy = assigned(desk, template, now)
    seen = fingerprint(present_body(copy))
    set_scheme(by=desk, planned=rows_of(template, "Row")[1], scheme=FIVE)
    version = save_version(by=desk, program=template, note="", now=now)
    set_scheme(by=desk, planned=rows_of(copy, "Bench press")[0], scheme=FIVE)
    mine = present_body(copy)
    with pytest.raises(CopyMoved):
        apply_version(by=desk, program=copy, version=version, choices={}, seen=seen, frozen=never, now=now)
    assert present_body(copy) == mine


def _changed(desk: Any, template: Program, now: Any) -> tuple[Program, TemplateVersion]:
    """A copy and version 2, with the bench press of week 2 changed on both sides."""
    copy = assigned(desk, template, now)
    set_scheme(by=desk, planned=rows_of(copy, "Bench press")[1], scheme=FIVE)
    six = engine.scheme_from_json(scheme_json(sets="6"))
    set_scheme(by=desk, planned=rows_of(template, "Bench press")[1], scheme=six)
    set_scheme(by=desk, planned=rows_of(template, "Row")[1], scheme=six)
    return copy, save_version(by=desk, program=template, note="", now=now)


def test_the_page_previews_lists_clashes_and_applies_what_was_chosen(as_coach, desk, template, now):
    copy, _ = _changed(desk, template, now)
    Program.objects.filter(pk=copy.pk).update(start_on=MONDAY + timedelta(weeks=100))  # nothing past, whatever today is
    url = reverse("programs:version_apply", args=[copy.pk])
    page = as_coach.get(url).context["page"]
    assert [(c.where, c.mine, c.theirs) for c in page.merged.clashes] == [
        ("Week 2, Mon Upper A", "5 x 8 @ 75 %, rest 2 min", "6 x 8 @ 75 %, rest 2 min")
    ]
    assert [one.what for one in page.changes] == ["Row"]
    name = f"clash:{page.merged.clashes[0].key}"
    before = present_body(copy)
    again = as_coach.post(url, {"do": "preview", name: "theirs"}, headers={"HX-Request": "true"})
    assert [one.what for one in again.context["page"].changes] == ["Bench press", "Row"]
    assert present_body(copy) == before
    stale = as_coach.post(url, {"do": "apply", "seen": "x", name: "theirs"})
    assert stale.status_code == 409
    assert stale.context["page"].merged.clashes[0].choice == "theirs"
    assert as_coach.post(url, {"do": "apply", "seen": page.seen, name: "theirs"}).status_code == 302
    assert rows_of(copy, "Bench press")[1].scheme == scheme_json(sets="6")
    assert as_coach.get(url).context["page"].changes == []
    assert as_coach.get(url, {"to": "7"}).status_code == 404


def test_what_is_past_for_the_client_stays(as_coach, desk, template, now):
    copy, _ = _changed(desk, template, now)
    Program.objects.filter(pk=copy.pk).update(start_on=MONDAY - timedelta(weeks=100))
    page = as_coach.get(reverse("programs:version_apply", args=[copy.pk])).context["page"]
    assert (page.changes, page.merged.clashes) == ([], ())


def test_the_list_saves_shows_and_refuses(as_coach, as_assistant, desk, template):
    url = reverse("programs:template_versions", args=[template.pk])
    assert as_coach.post(url, {"note": "First"}).status_code == 302
    again = as_coach.post(url, {"note": "Second"})
    assert again.status_code == 422
    assert "Nothing has changed since version 1." in again.content.decode()
    assert "Second" in again.content.decode()
    set_scheme(by=desk, planned=rows_of(template, "Row")[1], scheme=FIVE)
    page = as_coach.get(url)
    assert page.context["page"].changes == 1
    assert "1 change since version 1" in page.content.decode()
    read = as_assistant.get(url).content.decode()
    assert "version-save" not in read
    assert "First" in read


def test_two_states_side_by_side_in_words_and_sets(as_coach, desk, template, now):
    copy, _ = _changed(desk, template, now)
    url = reverse("programs:version_compare", args=[template.pk])
    page = as_coach.get(url, {"one": "1", "other": "2"})
    assert [one.words for one in page.context["page"].differences] == [
        f"Week 2, Mon Upper A: {name} 3 x 8 @ 75 %, rest 2 min -> 6 x 8 @ 75 %, rest 2 min"
        for name in ("Bench press", "Row")
    ]
    rows = {row.name: row.weeks for row in page.context["page"].moving}
    chest = rows["Chest"]
    assert [(w.before, w.after, w.difference) for w in chest[:3]] == [(3.0, 3.0, 0.0), (3.0, 6.0, 3.0), (0.0, 0.0, 0.0)]
    assert rows["Triceps"][1].difference == 1.5
    with_copy = as_coach.get(url, {"one": "1", "other": f"copy-{copy.pk}"}).context["page"]
    assert [one.after for one in with_copy.differences] == ["5 x 8 @ 75 %, rest 2 min"]
    assert "no such version" in as_coach.get(url, {"one": "9"}).content.decode()
    assert as_coach.get(url, {"other": "copy-999999"}).context["page"].other is None


def test_a_colleague_sees_the_template_but_not_the_clients_of_others(as_owner, desk, template, now):
    copy = assigned(desk, template, now)
    colleague = MembershipFactory(practice=desk.practice)
    assert running_counts([template], desk, MONDAY) == {template.pk: 1}
    assert running_counts([template], colleague, MONDAY) == {}
    assert copy_rows([template], colleague, MONDAY) == []
    browser = Browser()
    browser.force_login(colleague.user)
    url = reverse("programs:version_compare", args=[template.pk])
    assert "Vera" not in browser.get(url).content.decode()
    assert browser.get(url, {"one": "1", "other": f"copy-{copy.pk}"}).context["page"].other is None
    assert "Vera" in as_owner.get(url).content.decode()


def test_a_template_copied_between_coaches_stays_visible_to_the_practice(desk, template, stranger):
    colleague = MembershipFactory(practice=desk.practice)
    copied = save_as_template(by=colleague, program=template, name="Base, mine")
    for member in (desk, colleague):
        assert {template.pk, copied.pk} <= set(visible_programs(member).values_list("pk", flat=True))
    assert not visible_programs(stranger).exists()


def test_a_copy_says_what_it_was_made_of(as_coach, desk, template, now):
    copy, _ = _changed(desk, template, now)
    origin = origin_of(copy)
    assert origin is not None
    assert (origin.template, origin.number, origin.newer) == (template, 1, 2)
    html = as_coach.get(reverse("programs:program_detail", args=[copy.pk])).content.decode()
    assert 'id="origin"' in html
    assert "version 1. Version 2 is newer" in " ".join(html.replace("</a>", "").split())
    listed = as_coach.get(reverse("programs:program_list")).content.decode()
    assert "Base, version 1" in listed
    assert origin_of(template) is None


def test_the_template_goes_back_to_a_version_and_forward_again(as_coach, desk, template, now):
    save_version(by=desk, program=template, note="", now=now)
    first = present_body(template)
    set_scheme(by=desk, planned=rows_of(template, "Row")[0], scheme=FIVE)
    remove_exercise(by=desk, planned=rows_of(template, "Bench press")[1])
    PlannedExerciseFactory(session=PlannedSessionFactory(program=template, week_no=4))
    changed = present_body(template)
    url = reverse("programs:version_restore", args=[template.pk, 1])
    assert as_coach.post(url).status_code == 302
    assert present_body(template) == first
    again = as_coach.post(url, follow=True).content.decode()
    assert "The template is as in version 1 already." in again
    act = next_undo(desk.practice, subject_of(template))
    assert act is not None
    assert act.label == "Go back to version 1"
    undo(act, by=desk)
    assert present_body(template) == changed
    assert as_coach.post(reverse("programs:version_restore", args=[template.pk, 9])).status_code == 404


def test_a_template_is_copied_by_its_button(as_coach, template):
    as_coach.post(reverse("programs:program_template", args=[template.pk]))
    copied = Program.objects.get(name="Base, copy")
    assert differences(present_body(template), present_body(copied), named=False) == []


@pytest.mark.parametrize("name", ["template_versions", "version_compare", "version_apply"])
def test_pages_ask_as_often_for_three_copies_as_for_one(as_coach, desk, template, now, name):
    copy, _ = _changed(desk, template, now)
    url = reverse(f"programs:{name}", args=[copy.pk if name == "version_apply" else template.pk])
    as_coach.get(url)
    counts = []
    for more in range(2):
        if more:
            for n in range(2):
                assigned(desk, template, now, f"Client {n}")
                set_scheme(by=desk, planned=rows_of(template, "Row")[n], scheme=FIVE)
                save_version(by=desk, program=template, note="", now=now)
        with CaptureQueriesContext(connection) as caught:
            assert as_coach.get(url).status_code == 200
        counts.append(len(caught))
    assert counts[0] == counts[1] <= 16


def test_the_list_of_programmes_asks_as_often_for_three_templates(as_coach, desk, template, now):
    url = reverse("programs:program_list")
    assigned(desk, template, now)
    as_coach.get(url)
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as caught:
            as_coach.get(url)
        counts.append(len(caught))
        for n in range(2):
            other = save_as_template(by=desk, program=template, name=f"T{n}")
            assigned(desk, other, now, f"C{n}")
    assert counts[0] == counts[1] <= 8
