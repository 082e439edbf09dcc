"""Sheets of many in one file: bounded steps that any server can go on with, reasons for who is left out, stopping."""

from datetime import timedelta
from types import SimpleNamespace

import pytest
from django.urls import reverse

from programs.models import IssuedSheet, RunSheet, SheetRun
from programs.paper.pages import page_of
from programs.paper.pdf import together_pdf
from programs.paper.together import together_pages
from programs.services import record_test
from programs.services.sheet_runs import KEPT, Wanted, issue_some, start_run
from tests.factories.calendar import group_of
from tests.factories.clients import ClientFactory, ScreeningFactory
from tests.factories.logs import IssuedSheetFactory, exercise_body
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)
from tests.programs.paper.reading import millimetres, reader, squeezed, tags, words_of

pytestmark = pytest.mark.django_db
NEW = "programs:sheet_run_new"


def planned_for(desk, gym, name, exercise, *, screened=True, days=(0,), **scheme):
    """A client with a session on each of these days of the week of MONDAY."""
    client = ClientFactory(coach=desk, place=gym, level="intermediate", born_on=None, name=name)
    if screened:
        ScreeningFactory(client=client)
    program = ProgramFactory(coach=desk, client=client)
    for day in days:
        session = PlannedSessionFactory(program=program, day=day, name=f"Session {day}")
        PlannedExerciseFactory(session=session, exercise=exercise, scheme=scheme_json(**scheme))
    record_test(by=desk, client=client, exercise=exercise, load=100_000, unit="kg", reps=1, on=MONDAY)
    return client


@pytest.fixture
def people(desk, gym):
    """Three sessions, one stopped for want of a screening, and nothing planned."""
    exercise = ExerciseFactory(name="Bench press")
    anna = planned_for(desk, gym, "Anna Berg", exercise, days=(0, 2, 4))
    boris = planned_for(desk, gym, "Boris Cane", exercise, screened=False, reps="failure")
    return anna, boris, ClientFactory(coach=desk, name="Cleo Dahl")


def begin(http, *clients, **typed):
    answer = http.post(reverse(NEW), {"client": [c.pk for c in clients], "since": MONDAY.isoformat(), **typed})
    assert answer.status_code == 302, answer.content.decode()
    return SheetRun.objects.order_by("-id")[0]


def finish(run, now):
    while run.state == SheetRun.State.RUNNING:
        run = issue_some(run=run, now=now, seconds=0)
    return run


def test_a_run_issues_client_after_client_and_says_who_is_left_out(as_coach, people, now):
    run = begin(as_coach, *people)
    step = reverse("programs:sheet_run_step", args=[run.pk])
    for _ in range(10):
        as_coach.post(step)
    run.refresh_from_db()
    assert run.state == SheetRun.State.DONE
    page = as_coach.get(reverse("programs:sheet_run_detail", args=[run.pk])).content.decode()
    assert "3 sheets ready" in page
    assert "open stop: " in page
    assert "nothing is planned" in page
    made = as_coach.get(reverse("programs:sheet_run_pdf", args=[run.pk])).content
    assert len(reader(made).pages) == 3
    # In the order of days, and nobody else's name.
    texts = [squeezed(p.extract_text()) for p in reader(made).pages]
    assert [f"Session{day}," in text for day, text in zip((0, 2, 4), texts, strict=True)] == [True] * 3
    assert "BorisCane" not in words_of(made)


def test_every_step_is_bounded_to_a_client(desk, people, now, as_coach):
    run = begin(as_coach, *people)
    waiting = [run.rows.filter(waiting=True).count()]
    while run.state == SheetRun.State.RUNNING:
        run = issue_some(run=run, now=now, seconds=0)
        waiting.append(run.rows.filter(waiting=True).count())
    assert waiting == [4, 1, 0]


def test_a_crash_between_two_steps_loses_nothing(as_coach, people, now, monkeypatch):
    run = begin(as_coach, *people)
    run = issue_some(run=run, now=now, seconds=0)

    def crash(*args, **kwargs):
        raise KeyboardInterrupt

    with monkeypatch.context() as broken:
        broken.setattr("programs.services.sheet_runs.issue_shown", crash)
        with pytest.raises(KeyboardInterrupt):
            issue_some(run=run, now=now, seconds=0)
    again = finish(SheetRun.objects.select_related("by__practice", "act", "practice").get(pk=run.pk), now)
    assert again.state == SheetRun.State.DONE
    assert IssuedSheet.objects.count() == 3
    assert not again.rows.filter(waiting=True).exists()


def test_one_programme_that_cannot_be_worked_out_does_not_hold_up_the_others(as_coach, people, now, monkeypatch):
    run = begin(as_coach, *people)
    monkeypatch.setattr("programs.services.sheet_runs.handover_view", lambda *a, **k: 1 / 0)
    run = finish(run, now)
    assert run.state == SheetRun.State.DONE
    assert run.rows.filter(left_out__contains="could not be worked out").count() == 4


def test_two_browsers_on_one_run_share_the_work(as_coach, as_owner, people, now):
    run = begin(as_coach, *people)
    mine = issue_some(run=run, now=now, seconds=0)
    # The second one still holds the run as it was before the first step.
    theirs = issue_some(run=run, now=now, seconds=0)
    assert (mine.state, theirs.state) == ("running", "done")
    assert IssuedSheet.objects.count() == 3
    assert as_owner.get(reverse("programs:sheet_run_pdf", args=[run.pk])).status_code == 200


def test_the_same_sheets_again_are_the_sheets_already_issued(as_coach, people, now):
    finish(begin(as_coach, people[0]), now)
    finish(begin(as_coach, people[0]), now)
    assert IssuedSheet.objects.count() == 3
    assert RunSheet.objects.filter(sheet__isnull=False).count() == 6


def test_a_second_press_gives_the_run_that_the_first_began(as_coach, people, now):
    first = begin(as_coach, *people)
    assert begin(as_coach, *people).pk == first.pk
    assert begin(as_coach, people[0]).pk != first.pk
    finish(first, now)
    assert begin(as_coach, *people).pk != first.pk


def test_stopping_leaves_what_is_issued_and_gives_no_file(as_coach, people, now):
    run = begin(as_coach, *people)
    issue_some(run=run, now=now, seconds=0)
    for _ in range(2):
        assert as_coach.post(reverse("programs:sheet_run_cancel", args=[run.pk])).status_code == 302
    as_coach.post(reverse("programs:sheet_run_step", args=[run.pk]))
    run.refresh_from_db()
    assert run.state == SheetRun.State.CANCELLED
    assert IssuedSheet.objects.count() == 3
    assert run.rows.filter(waiting=True).count() == 1
    assert as_coach.get(reverse("programs:sheet_run_pdf", args=[run.pk])).status_code == 409


def test_undoing_the_act_stops_the_run_and_takes_its_sheets(as_coach, desk, people, now):
    from coachdesk.practice.tape import undo

    run = issue_some(run=begin(as_coach, *people), now=now, seconds=0)
    undo(run.act, by=desk)
    run = issue_some(run=run, now=now, seconds=0)
    assert run.state == SheetRun.State.CANCELLED
    assert not IssuedSheet.objects.exists()


def test_a_step_answers_a_browser_with_scripts_by_the_part_that_moved(as_coach, people):
    run = begin(as_coach, *people)
    path = reverse("programs:sheet_run_step", args=[run.pk])
    part = as_coach.post(path, headers={"HX-Request": "true"}).content.decode()
    assert part.lstrip().startswith('<div id="progress"')
    assert as_coach.post(path)["Location"] == reverse("programs:sheet_run_detail", args=[run.pk])


def test_the_paper_chosen_is_kept_for_the_next_time(as_coach, people, now, desk):
    run = finish(begin(as_coach, people[0], paper="letter"), now)
    made = as_coach.get(reverse("programs:sheet_run_pdf", args=[run.pk])).content
    assert millimetres(made) == {(215.9, 279.4)}
    desk.practice.refresh_from_db()
    assert desk.practice.paper_size == "letter"
    assert '<option value="letter" selected>' in as_coach.get(reverse(NEW)).content.decode()


def test_a_client_handed_over_meanwhile_is_no_longer_in_the_file(as_coach, people, now, owner, desk):
    run = finish(begin(as_coach, *people), now)
    assert as_coach.get(reverse("programs:sheet_run_pdf", args=[run.pk])).status_code == 200
    people[0].coach = owner
    people[0].save()
    assert as_coach.get(reverse("programs:sheet_run_pdf", args=[run.pk])).status_code == 409
    people[1].coach = owner
    people[1].save()
    page = as_coach.get(reverse("programs:sheet_run_detail", args=[run.pk])).content.decode()
    assert "Boris" not in page


def test_a_session_removed_meanwhile_is_left_out_with_the_reason(as_coach, people, now):
    run = begin(as_coach, people[0])
    run.rows.order_by("position")[1].planned_session.delete()
    run = finish(run, now)
    assert list(run.rows.order_by("position").values_list("left_out", flat=True)) == [
        "", "the session was removed meanwhile", "",
    ]  # fmt: skip


@pytest.mark.parametrize("ids", [["x", "9" * 400, "-1", "0", ""], ["99999999"], []])
def test_nonsense_and_others_clients_are_nobody(as_coach, people, ids):
    answer = as_coach.post(reverse(NEW), {"client": ids, "since": "never", "paper": "a0"})
    assert answer.status_code == 422
    assert not SheetRun.objects.exists()


def test_a_stranger_and_a_colleague_cannot_print_this_client(as_stranger, people):
    assert as_stranger.post(reverse(NEW), {"client": [people[0].pk], "since": MONDAY}).status_code == 422
    assert not SheetRun.objects.exists()


def test_an_assistant_neither_begins_nor_sees_a_run(as_coach, as_assistant, people):
    run = begin(as_coach, *people)
    assert as_assistant.get(reverse(NEW)).status_code == 403
    assert as_assistant.post(reverse(NEW), {"client": [people[0].pk]}).status_code == 403
    for name in ("sheet_run_detail", "sheet_run_pdf"):
        assert as_assistant.get(reverse(f"programs:{name}", args=[run.pk])).status_code == 404


def test_too_many_at_once_are_refused_and_old_runs_go(as_coach, desk, people, now):
    session = people[0].programs.get().blocks.get().sessions.all()[0]
    with pytest.raises(Exception, match="400 in one file"):
        start_run(by=desk, title="x", wanted=[Wanted(people[0], session)] * 401, layout="each", paper="a4", now=now)
    old = begin(as_coach, people[0])
    SheetRun.objects.filter(pk=old.pk).update(began_at=old.began_at - KEPT - timedelta(days=1))
    begin(as_coach, people[0])
    assert not SheetRun.objects.filter(pk=old.pk).exists()


def test_erasing_a_client_takes_their_rows_and_sheets_out_of_the_run(as_coach, people, now):
    run = finish(begin(as_coach, *people), now)
    people[0].delete()
    assert not run.rows.filter(sheet__isnull=False).exists()
    assert as_coach.get(reverse("programs:sheet_run_pdf", args=[run.pk])).status_code == 409


def test_a_group_lies_side_by_side_on_one_landscape_side(as_coach, desk, gym, now):
    exercise = ExerciseFactory(name="Bench press")
    names = ["Anna Berg", "Boris Cane", "Cleo Dahl"]
    members = [planned_for(desk, gym, name, exercise, load_value=str(60 + 5 * n)) for n, name in enumerate(names)]
    group = group_of(desk, members, place=gym)
    answer = as_coach.post(reverse("programs:group_sheets", args=[group.pk]), {"on": MONDAY.isoformat()})
    run = finish(SheetRun.objects.get(), now)
    assert answer["Location"] == reverse("programs:sheet_run_detail", args=[run.pk])
    made = as_coach.get(reverse("programs:sheet_run_pdf", args=[run.pk])).content
    assert len(reader(made).pages) == 1
    assert millimetres(made) == {(297.0, 210.0)}
    words = words_of(made)
    # 60, 65 and 70 % of 100 kg, each on this gym's plates.
    assert all(squeezed(text) in words for text in (*names, "60 kg x 8", "65 kg x 8", "70 kg x 8", "20 a side"))
    assert [kind for kind, _ in tags(made)].count("/TH") == 4


def test_a_group_trains_on_its_own_place(as_coach, desk, gym, now):
    from tests.factories.clients import EquipmentFactory, PlaceFactory

    home = PlaceFactory(practice=desk.practice, name="Hall")
    EquipmentFactory(place=home)
    exercise = ExerciseFactory(name="Bench press")
    members = [planned_for(desk, gym, name, exercise) for name in ("Anna Berg", "Boris Cane")]
    as_coach.post(reverse("programs:group_sheets", args=[group_of(desk, members, place=home).pk]), {"on": MONDAY})
    run = finish(SheetRun.objects.get(), now)
    assert {sheet.body["place"] for sheet in IssuedSheet.objects.all()} == {"Hall"}
    assert run.state == SheetRun.State.DONE


def people_with(count, lifts, shared):
    """Sheets of so many people with so many exercises each, the same ones or everybody their own."""
    exercise = SimpleNamespace(pk=1, name="Bench press", implements=1, limbs="two")
    made = []
    for n in range(count):
        bodies = [
            exercise_body(exercise, position=k + 1, group="", rest_words="rest 2 min", if_missed=[], last=None)
            | {"exercise": k if shared else 100 * n + k, "name": f"Lift {k}" if shared else f"Lift {n}.{k}"}
            for k in range(lifts)
        ]
        sheet = IssuedSheetFactory.build(client=None, pk=n + 1, exercises=bodies, body=None)
        sheet.body = {"client": f"Person {n}", "title": "Upper A", "place": "Hall", "unit": "kg", "minutes": 50,
                      "cautions": ["Stop at pain."], "stops": ["private"], "exercises": bodies}  # fmt: skip
        made.append(sheet)
    return made


@pytest.mark.parametrize("count", [2, 3, 5, 8])
@pytest.mark.parametrize("shared", [True, False])
def test_two_to_eight_people_with_six_exercises_lie_on_one_side(count, shared):
    pages = together_pages(people_with(count, 6, shared), "Morning", "Practice")
    made = together_pdf(pages, title="Morning", paper="letter")
    assert len(reader(made).pages) == 1
    words = words_of(made)
    assert all(squeezed(f"Person {n}") in words for n in range(count))
    assert words.count("70kgx8,RIR2") == 6 * count
    # A coach's reason for one person is nobody else's business.
    assert "private" not in words


def test_nine_people_take_two_sheets_and_different_plans_lie_by_number():
    pages = together_pages(people_with(9, 4, shared=False), "Morning", "Practice")
    assert [len(page["people"]) for page in pages] == [8, 1]
    assert [line["name"] for line in pages[0]["lines"]] == ["1.", "2.", "3.", "4."]
    assert [cell["name"] for cell in pages[0]["lines"][1]["cells"]] == [f"Lift {n}.1" for n in range(8)]


def test_a_page_holds_nothing_that_is_not_in_the_body(as_coach, people, now):
    finish(begin(as_coach, people[0]), now)
    sheet = IssuedSheet.objects.order_by("id")[0]
    page = page_of(sheet, "Practice", "a4")
    assert [row[1] for row in page["lifts"][0]["rows"]] == ["75"] * 3
