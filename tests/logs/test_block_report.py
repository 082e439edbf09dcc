"""The report of a block: its numbers are those of the sheets, logs and estimates; what is missing is said."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from coachdesk.practice.models import Act
from coachdesk.practice.tape import undo
from programs.logs import services
from programs.logs.mapping import done_otherwise, sheet_key
from programs.logs.models import BlockNote, MuscleWeek
from programs.logs.selectors import block_report
from programs.models import Block, PainReport, StrengthEstimate
from tests.factories.calendar import ClientDateFactory
from tests.factories.clients import ClientFactory
from tests.factories.logs import NOON, IssuedSheetFactory, exercise_body, logged
from tests.factories.programs import (
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
)  # fmt: skip
from tests.factories.reports import START, four_weeks, sheet_for, sheet_step, train
from tests.programs.paper.reading import reader, squeezed, tags, words_of

TODAY = date(2026, 11, 24)
pytestmark = pytest.mark.django_db


@pytest.fixture
def press():
    return ExerciseFactory(name="Bench press")


@pytest.fixture
def block(desk, press):
    return four_weeks(desk, press)


def report(block, span=None, today=TODAY):
    return block_report(block, span or (1, block.weeks), today=today)


def page(browser, block, **query):
    return browser.get(reverse("logs:block_report", args=[block.pk]), query)


def post(browser, block, **fields):
    typed = {"version": 0, "note": "", "next_note": "", **fields}
    return browser.post(reverse("logs:block_report_edit", args=[block.pk]), typed)


def test_sessions_and_minutes_are_those_of_sheets_and_logs(block, press):
    train(block, 1, press, minutes=70, rating=6)
    train(block, 2, press, minutes=60)
    services.skip_session(
        by=block.program.coach, sheet=(ill := sheet_for(block, 3, press)), key=sheet_key(ill.uid, skipped=True),
        skipped_why="ill", on=ill.for_on, now=NOON,
    )  # fmt: skip
    found = report(block).sessions
    assert (found.done, found.due, found.to_come, found.besides) == (2, 4, 0, 0)
    assert [one.log.skipped_why for one in found.skipped] == ["ill"]
    # 62 minutes stand on the sheet.
    assert found.timed == [(62, 70), (62, 60)]
    # Rating x minutes, Foster C et al 2001 JSCR 15:109-115; the second session has no rating.
    assert [line.load for line in found.lines] == [420, None, None, None]
    assert found.rated == 1


def test_sets_a_week_are_those_of_the_weekly_sums(block, press):
    train(block, 1, press)
    train(block, 2, press, sets=2)
    chest = next(one for one in report(block).muscles if one.trend.code == "chest")
    kept = MuscleWeek.objects.filter(muscle="chest").order_by("monday")
    assert [p.done for p in chest.trend.points] == [3, 2, 0, 0] == [row.sets / 1000 for row in kept] + [0, 0]
    # All four weeks are over on 24 Nov.
    assert chest.weeks == 4
    assert (chest.done, chest.planned) == (5 / 4, 3)


def test_strength_is_what_the_estimates_say(block, press):
    # An exercise's second and third session never raise the estimate; the fourth does.
    for week, load in ((1, 70_000), (2, 70_000), (3, 70_000), (4, 85_000)):
        train(block, week, press, load=load)
    (line,) = report(block).strengths
    kept = StrengthEstimate.objects.get()
    assert (line.after.mean_kg, line.after.low_kg, line.after.high_kg) == (kept.mean_kg, kept.low_kg, kept.high_kg)
    assert line.before.mean_kg < line.after.mean_kg
    assert line.words in ("probably stronger", "almost certainly stronger")
    assert float(line.percent) >= 80


def test_a_change_inside_the_doubt_is_said_to_be_so(as_coach, block, press):
    train(block, 1, press)
    train(block, 3, press)
    (line,) = report(block).strengths
    assert line.words == "inside the doubt"
    assert "none shows a change that is clear of the doubt" in page(as_coach, block).content.decode()


def test_strength_before_the_block_is_where_it_starts(block, press):
    client = block.program.client
    early = IssuedSheetFactory(client=client, for_on=START - timedelta(days=6), exercises=[exercise_body(press)])
    steps = [done_otherwise(sheet_step(early.body, "1-1-1-b"), load=60_000, reps=8, rir=2.0)]
    logged(early, steps=steps)
    before = StrengthEstimate.objects.get().mean_kg
    train(block, 2, press, load=62_500)
    assert report(block).strengths[0].before.mean_kg == pytest.approx(before, rel=0.02)
    assert report(block).sessions.besides == 0


def test_what_was_left_out_and_what_was_done_instead_is_told(as_coach, block, press):
    row = ExerciseFactory(name="Cable row")
    sheet = sheet_for(block, 1, press)
    sheet.body["exercises"].append({**exercise_body(row), "position": 2})
    sheet.save()
    logged(sheet, steps=[done_otherwise(sheet_step(sheet.body, "1-1-1-b"), load=70_000, reps=8, rir=2.0)])
    assert report(block).sessions.left_out == (("Cable row", 1),)
    assert "Cable row 1 x" in page(as_coach, block).content.decode()


def test_a_session_besides_the_plan_counts_as_such(block, press):
    train(block, 1, press)
    other = IssuedSheetFactory(
        client=block.program.client, for_on=START + timedelta(days=3), exercises=[exercise_body(press)]
    )
    logged(other)
    found = report(block).sessions
    assert (found.done, found.besides, found.lines[0].done, found.lines[0].planned) == (1, 1, 2, 1)


def test_some_weeks_alone(as_coach, block, press):
    train(block, 1, press)
    train(block, 2, press)
    assert [one.done for one in (report(block, (2, 3)).sessions, report(block, (3, 4)).sessions)] == [1, 0]
    answer = page(as_coach, block, first=2, last=3)
    assert answer.status_code == 200
    assert "weeks 2 to 3" in answer.content.decode()


@pytest.mark.parametrize(
    "query",
    [
        {"first": "0"},
        {"first": "3", "last": "2"},
        {"last": "99"},
        {"first": "x"},
        {"last": "1e400"},
        {"first": "1\u0301"},
    ],
)
def test_weeks_that_are_none_are_refused_and_kept_as_typed(as_coach, block, query):
    answer = page(as_coach, block, **query)
    assert answer.status_code == 422
    for value in query.values():
        assert f'value="{value}"' in answer.content.decode()


def test_nothing_logged_is_said_in_a_word(as_coach, block):
    text = page(as_coach, block).content.decode()
    assert "Nothing has been logged in these weeks yet" in text
    assert "Upper 1, Tue 27 Oct" in text


def test_a_block_that_has_not_begun_says_when_it_does(as_coach, block):
    text = page(as_coach, block.program.blocks.get(name="Heavier")).content.decode()
    assert "This block begins on Mon 23 Nov 2026" not in text
    later = Block.objects.create(program=block.program, name="Later", first_week=7, weeks=2)
    assert (
        "This block begins on Mon 7 Dec 2026; there is nothing to report yet." in page(as_coach, later).content.decode()
    )


def test_the_programmes_own_address_leads_to_the_block_that_runs(as_coach, block):
    answer = as_coach.get(reverse("logs:program_report", args=[block.program_id]))
    heavier = block.program.blocks.get(name="Heavier")
    assert (answer.status_code, answer["Location"]) == (302, reverse("logs:block_report", args=[heavier.pk]))


def test_a_template_has_nobody_to_report_to(as_coach, desk):
    template = ProgramFactory(coach=desk)
    assert as_coach.get(reverse("logs:program_report", args=[template.pk])).status_code == 404
    assert page(as_coach, template.blocks.get()).status_code == 404


def test_the_programme_and_the_trends_lead_here(as_coach, block, press):
    train(block, 1, press)
    trends = as_coach.get(reverse("logs:client_trends", args=[block.program.client_id])).content.decode()
    heavier = block.program.blocks.get(name="Heavier")
    assert reverse("logs:block_report", args=[heavier.pk]) in trends
    plan = as_coach.get(reverse("programs:program_detail", args=[block.program_id])).content.decode()
    assert reverse("logs:program_report", args=[block.program_id]) in plan


def test_what_comes_next_is_the_next_block_and_the_dates(block):
    client = block.program.client
    ClientDateFactory(client=client, on=TODAY + timedelta(days=20))
    ClientDateFactory(client=client, on=TODAY - timedelta(days=20))
    found = report(block).coming
    assert (found.name, found.starts_on, found.weeks) == ("Heavier", date(2026, 11, 23), 2)
    assert len(found.dates) == 1


def test_the_coachs_words_are_kept_printed_and_on_the_tape(as_coach, desk, block, press):
    train(block, 1, press)
    answer = post(as_coach, block, note="Good work.\nSlow down.", steps=["keep", "lighter_week"], next_note="Sleep.")
    assert answer.status_code == 302
    kept = BlockNote.objects.get()
    assert (kept.note, kept.next_note, kept.with_pain) == ("Good work.\nSlow down.", "Sleep.", False)
    assert [one["code"] for one in kept.steps] == ["keep", "lighter_week"]
    text = as_coach.get(answer["Location"]).content.decode()
    for words in ("Slow down.", "Sleep.", "Keep training as in this block.", desk.user.name):
        assert words in text.split("<article")[1]
    undo(Act.objects.filter(subject=f"report:{block.pk}").latest("id"), by=desk)
    assert not BlockNote.objects.exists()


def test_a_step_stays_as_it_was_ticked_when_its_numbers_are_gone(as_coach, block, press):
    steps = [{"code": "more_time", "words": "Allow more time: 80 min."}]
    BlockNote.objects.create(client=block.program.client, block=block, first_week=1, last_week=4, steps=steps)
    assert "Allow more time: 80 min." in page(as_coach, block).content.decode().split("<article")[1]
    assert post(as_coach, block, version=1, steps=["more_time"], note="x").status_code == 302
    assert BlockNote.objects.get().steps == steps


@pytest.mark.parametrize(
    "odd", [{"steps": ["none_such"]}, {"note": "x" * 2001}, {"note": "e" + "\u0301" * 10}, {"version": "x"},
            {"version": "7"}, {"first": "9"}, {"first": "2", "last": "1"}],
)  # fmt: skip
def test_odd_words_are_refused_and_nothing_is_kept(as_coach, block, odd):
    if "version" in odd:
        post(as_coach, block, note="first")
    kept = list(BlockNote.objects.values())
    assert post(as_coach, block, **({"note": "typed"} | odd)).status_code == 422
    assert list(BlockNote.objects.values()) == kept


def test_two_coaches_on_one_report_keep_both_or_are_asked(as_coach, as_owner, block):
    assert post(as_coach, block, note="mine").status_code == 302
    answer = post(as_owner, block, note="theirs")
    assert answer.status_code == 409
    text = answer.content.decode()
    assert "saved now: mine" in text
    assert ">theirs</textarea>" in text.replace("\n", "").replace("\r", "")
    assert post(as_owner, block, version=1, note="mine", next_note="more").status_code == 302
    assert post(as_coach, block, version=1, note="mine, later", with_pain="on").status_code == 302
    row = BlockNote.objects.get()
    assert (row.note, row.next_note, row.with_pain) == ("mine, later", "more", True)


def test_pain_is_printed_only_where_the_coach_ticks_it(as_coach, block, press):
    log = train(block, 1, press, pains={press.pk: 6})
    PainReport.objects.filter(source_uid=log.key).update(next_morning=3, note="left shoulder, told in private")
    assert "Pain you told us of" not in page(as_coach, block).content.decode()
    post(as_coach, block, with_pain="on")
    text = page(as_coach, block).content.decode()
    assert "Bench press: 1 time, at most 6 of 10, 3 the next morning." in text
    assert "told in private" not in text.split("<article")[1]


def test_loads_are_told_in_the_clients_unit(as_coach, block, press):
    train(block, 1, press)
    block.program.client.unit = "lb"
    block.program.client.save()
    kg = StrengthEstimate.objects.get().mean_kg
    # 1 lb = 0.45359237 kg exactly (NIST SP 811).
    assert f">{kg / 0.45359237:.1f}<" in page(as_coach, block).content.decode()


def test_a_year_in_one_block_is_told_four_weeks_at_a_time(as_coach, desk, press):
    program = ProgramFactory(client=ClientFactory(coach=desk), coach=desk, start_on=date(2025, 12, 1), weeks=52)
    PlannedExerciseFactory(session=PlannedSessionFactory(program=program, week_no=52), exercise=press)
    found = report(program.blocks.get())
    assert len(found.sessions.lines) == 13
    assert found.picture is None
    assert page(as_coach, program.blocks.get()).status_code == 200


def test_queries_do_not_grow_with_what_was_logged(as_coach, block, press, django_assert_max_num_queries):
    train(block, 1, press)
    with django_assert_max_num_queries(40) as few:
        page(as_coach, block)
    for week in (2, 3, 4):
        train(block, week, press)
    with django_assert_max_num_queries(len(few)):
        page(as_coach, block)


def pdf(browser, block, **query):
    return browser.get(reverse("logs:block_report_pdf", args=[block.pk]), query)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_file_tells_what_the_page_tells(as_coach, block, press, paper):
    log = train(block, 1, press, minutes=70, rating=6, pains={press.pk: 6})
    train(block, 3, press)
    post(as_coach, block, note="Good work.", steps=["keep"], next_note="Sleep.", with_pain="on")
    answer = pdf(as_coach, block, paper=paper)
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    assert "Amara" not in answer["Content-Disposition"]
    found = report(block)
    (line,) = found.strengths
    for words in (
        "Amara Tolledo", *found.in_short, "Good work.", "Sleep.", "Keep training as in this block.", line.percent,
        f"{line.after.mean_kg:.1f}", "420", "70", "inside the doubt", "Next: Heavier", *found.cautions,
        f"Bench press: 1 time, at most {6} of 10.", block.program.coach.user.name,
    ):  # fmt: skip
        assert squeezed(words) in words_of(answer.content), words
    assert log.pk
    # A document for those who have it read to them names its headings, tables and lists (ISO 14289-1).
    assert {"/H1", "/H2", "/Table", "/TH", "/L"} <= {tag for tag, _ in tags(answer.content)}


@pytest.mark.parametrize(
    "words", ["#panic(1) $x$ *b* @ref <l> [ ] \\ `r`", "x" * 2000, "日本 e\u0301 \u202e", "a\r\n\r\nb"]
)
def test_whatever_is_written_is_set_as_it_stands(as_coach, block, press, words):
    train(block, 1, press)
    assert post(as_coach, block, note=words).status_code == 302
    assert pdf(as_coach, block).status_code == 200


def test_a_file_of_weeks_that_are_none_is_the_page_that_says_so(as_coach, block):
    assert pdf(as_coach, block, first="9").status_code == 422
    assert pdf(as_coach, block, paper="\x00").status_code == 200


def test_a_long_block_fits_two_sides(as_coach, block, press):
    for week in range(1, 5):
        train(block, week, press)
    post(as_coach, block, note="word " * 300, next_note="more " * 150)
    assert len(reader(pdf(as_coach, block).content).pages) <= 2


def test_many_skipped_sessions_are_counted_by_their_reason(desk, press):
    program = ProgramFactory(client=ClientFactory(coach=desk), coach=desk, start_on=START, weeks=4)
    made = program.blocks.get()
    for day in range(5):
        PlannedSessionFactory(block=made, week_no=1, day=day, name="S")
    for n, session in enumerate(made.sessions.order_by("day")):
        sheet = IssuedSheetFactory(client=program.client, planned_session=session, for_on=START + timedelta(days=n))
        services.skip_session(
            by=desk, sheet=sheet, key=sheet_key(sheet.uid, skipped=True), skipped_why="ill" if n < 2 else "travelling",
            on=sheet.for_on, now=NOON,
        )  # fmt: skip
    assert report(made).sessions.skipped_words == "travelling 3 x, ill 2 x"


def test_clear_changes_stand_first(block, press):
    row = ExerciseFactory(name="A row")
    for week, load in ((1, 70_000), (2, 70_000), (3, 70_000), (4, 85_000)):
        train(block, week, press, load=load)
    client = block.program.client
    for n in range(6):
        other = IssuedSheetFactory(client=client, for_on=START + timedelta(days=n), exercises=[exercise_body(row)])
        logged(other, steps=[done_otherwise(sheet_step(other.body, "1-1-1-b"), load=70_000, reps=8, rir=2.0)])
    assert [line.name for line in report(block).strengths] == ["Bench press", "A row"]
