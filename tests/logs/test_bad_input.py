"""What is odd about a client's logs: none, one, ten years of them, another unit, days to come; all pages are asked."""

import csv
import io
import json
import re
from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from programs.logs.export import set_log_lines
from programs.logs.mapping import done_otherwise
from programs.logs.models import ClientNeed, SessionLog, SetLog
from programs.logs.services import log_set, refresh_client
from programs.models import PlannedSession, StrengthEstimate
from programs.services import assign_program, issue_sheet
from tests.factories.clients import ClientFactory, ScreeningFactory
from tests.factories.files import press as confirm
from tests.factories.files import upload
from tests.factories.logs import NOON, IssuedSheetFactory, exercise_body, logged, step_at, straight_sets
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
)
from tests.factories.review import all_words, review_pages

pytestmark = pytest.mark.django_db
START = MONDAY - timedelta(weeks=2)
# 1 lb = 0.45359237 kg exactly (NIST SP 811).
POUND = 0.45359237


@pytest.fixture
def press():
    return ExerciseFactory(name="Bench press")


@pytest.fixture
def template(desk, press):
    """Four weeks with a press on Mondays; in the client's copy two are over."""
    made = ProgramFactory(coach=desk, name="Base block")
    for week in (1, 2, 3, 4):
        session = PlannedSessionFactory(program=made, week_no=week, day=0, name="Upper A")
        PlannedExerciseFactory(session=session, exercise=press)
    return made


@pytest.fixture
def lifter(desk, gym, template):
    made = ClientFactory(coach=desk, name="Amara Tolledo", place=gym)
    ScreeningFactory(client=made)
    assign_program(by=desk, program=template, client=made, start_on=START, today=START, now=NOON)
    return made


def visit(client, on, press, unit="kg", load=70_000, **fields):
    """Three sets on a Monday; from the plan's sheet where the plan has one that day."""
    planned = PlannedSession.objects.filter(block__program__client=client, week_no=(on - START).days // 7 + 1).first()
    steps = straight_sets(3, unit=unit, load=load)
    sheet = IssuedSheetFactory(
        client=client, for_on=on, planned_session=planned, exercises=[exercise_body(press, steps=steps)]
    )  # fmt: skip
    return logged(sheet, **{"done_on": on, "rating": 6, "minutes": 60, **fields})


def test_a_client_with_no_logs(as_coach, lifter, template):
    said = all_words(as_coach, review_pages(lifter, template=template))
    assert "Missed 2 of 2 sessions in 14 days" in said["roster"]
    assert "Nothing was logged in this week." in said["muscles"]
    assert "Amara Tolledo 3 of 4 0 3 0" in said["programme's clients"]
    assert "Hand out the sheet of a planned session, then log it from there." in said["sessions"]
    assert "Nothing was logged in these weeks." in said["trends"]
    assert "Two blocks that have begun are needed to compare." in said["blocks"]
    # It must not praise what it has not seen.
    assert (
        "No lift was logged in the last 21 days, 2 weeks that are over have planned sessions, too few to say whether "
        "enough of them take place, and no muscle with a band is marked to grow."
    ) in said["next week"]
    assert "No RIR was typed in the last 16 weeks" in said["effort"]
    assert "3 sessions were neither logged nor moved." in said["calendar"]
    assert "Nothing has been logged in these weeks yet" in said["report"]


def test_a_client_with_one_log(as_coach, lifter, template, press):
    log = visit(lifter, MONDAY, press)
    said = all_words(as_coach, review_pages(lifter, template=template, log=log))
    assert "Upper A 1 of 2" in said["roster"]
    assert "Amara Tolledo 3 of 4 1 3 33" in said["programme's clients"]
    assert "No lift of these clients has been seen often enough to tell a change." in said["programme's clients"]
    assert "Mon 23 Nov 2026 Upper A 3 60 6" in said["sessions"]
    assert "Chest had 3.0 fractional sets a week over the one week with training" in said["trends"]
    assert "1 of 3 planned sessions that were due was done (33 %)" in said["trends"]
    assert "You did 1 of 3 planned sessions. 1 session of this block is still to come." in said["report"]
    assert "first measured in this block" in said["report"]
    assert "3 of 3 sets done, 60 min, rated 6 of 10." in said["session log"]
    this_week = as_coach.get(reverse("logs:muscle_list"), {"week": MONDAY.isoformat()}).content.decode()
    assert "1 of 1 client trained" in this_week


def poured(client, press, years=10):
    """Three sets a fortnight, 2.5 kg heavier every year, put in at once; then everything is worked out."""
    days = [MONDAY - timedelta(weeks=2 * n) for n in range(1, 26 * years)]
    logs = SessionLog.objects.bulk_create(
        SessionLog(client=client, done_on=on, logged_at=NOON, rating=5, minutes=50, name="Old session") for on in days
    )
    SetLog.objects.bulk_create([
        SetLog(session_log=log, client=client, exercise=press, key=uuid4(), done_on=log.done_on, position=1, set_no=n,
               load=40_000 + 2_500 * (log.done_on.year - 2016), unit="kg", reps=8, rir=2.0)
        for log in logs for n in (1, 2, 3)
    ])  # fmt: skip
    refresh_client(client.pk)
    return days


def queries_of(work):
    with CaptureQueriesContext(connection) as queries:
        work()
    return len(queries)


def test_a_client_with_ten_years_of_logs(as_coach, lifter, template, press):
    days = poured(lifter, press)
    newest = SessionLog.objects.order_by("-done_on")[0]
    said = all_words(as_coach, review_pages(lifter, template=template, log=newest))
    assert (len(days), days[-1]) == (259, date(2016, 12, 19))
    assert "Done in 14 days" in said["roster"]
    assert "An estimate rests on the last year before it." in said["trends"]
    trends = reverse("logs:client_trends", args=[lifter.pk])
    oldest = as_coach.get(trends, {"weeks": "156", "until": "2019-12-15"}).content.decode()
    assert "Mon 19 Dec 2016" in oldest.split('id="cap-sets"')[1]
    # Every session is reached by its pages, each once.
    url, seen = reverse("logs:client_sessions", args=[lifter.pk]), []
    while url:
        page = as_coach.get(url)
        seen += [log.pk for log in page.context["page"].logs]
        older = page.context["page"].older_than
        url = f"{reverse('logs:client_sessions', args=[lifter.pk])}?before={older}" if older else ""
    assert len(seen) == len(set(seen)) == 259
    assert StrengthEstimate.objects.get().count <= 3 * 27


def test_no_page_and_no_set_asks_more_after_ten_years(as_coach, desk, template, press, gym):
    short, long = (ClientFactory(coach=desk, place=gym, name=name) for name in ("Short", "Long"))
    for one, years in ((short, 1), (long, 10)):
        assign_program(by=desk, program=template, client=one, start_on=START, today=START, now=NOON)
        poured(one, press, years)
        visit(one, MONDAY, press)
    as_coach.get(reverse("logs:roster"))
    for name, url in review_pages(long, template=template).items():
        other = review_pages(short, template=template)[name]
        as_coach.get(url), as_coach.get(other)
        assert queries_of(lambda url=url: as_coach.get(url)) == queries_of(lambda url=other: as_coach.get(url)), name
    counts = []
    for one in (short, long):
        sheet = IssuedSheetFactory(client=one, exercises=[exercise_body(press)])
        log = logged(sheet, steps=[done_otherwise(step_at(sheet, "1-1-1-b"), load=70_000, reps=8, rir=2.0)])
        step = done_otherwise(step_at(sheet, "1-2-1-b"), load=70_000, reps=7, rir=2.0)
        one.refresh_from_db()
        counts.append(queries_of(
            lambda log=log, step=step: log_set(by=desk, session_log=log, key=uuid4(), step=step, now=NOON)
        ))  # fmt: skip
    assert counts[0] == counts[1]


def test_a_muscle_never_trained(as_coach, lifter, template, press):
    visit(lifter, MONDAY - timedelta(weeks=1), press)
    pages = review_pages(lifter, template=template)
    pages["trends"] += "?muscle=calves"
    pages["muscles"] += "?muscle=calves"
    said = all_words(as_coach, pages)
    assert "No sets for calves were done in these 12 weeks." in said["trends"]
    assert "No week that is over has a volume load for calves." in said["trends"]
    assert "Calves Below the band: 1 Client Done Low High Band Amara Tolledo 0 0 0 6-16" in said["muscles"]
    assert "Calves" not in said["report"].split("Sets per muscle")[1]
    assert "Calves" not in said["programme"].split("Sets per muscle over the weeks")[1]
    found = as_coach.get(reverse("logs:roster"), {"muscle": "calves"})
    assert "Nobody" in found.content.decode() or "No client" in found.content.decode()


def test_a_unit_that_changes_midway(as_coach, desk, lifter, template, press, monkeypatch):
    """Four weeks in kg, then four in lb at the same load to a pound: all pages speak lb, and no row is rewritten."""
    for n in range(8, 4, -1):
        old = visit(lifter, MONDAY - timedelta(weeks=n), press)
    before = StrengthEstimate.objects.get(client=lifter).mean_kg
    lifter.unit = "lb"
    lifter.save()
    for n in range(4, 0, -1):
        log = visit(lifter, MONDAY - timedelta(weeks=n), press, unit="lb", load=154_000)
    kept = StrengthEstimate.objects.get(client=lifter)
    # 154 lb are 69.85 kg: nobody grew weaker or stronger by it.
    assert kept.mean_kg == pytest.approx(before, rel=0.01)
    said = all_words(as_coach, review_pages(lifter, template=template, log=log))
    assert f"is estimated at {kept.mean_kg / POUND:.1f} lb" in said["trends"]
    assert "at least: 154 lb x 8" in said["trends"]
    assert "at least: 70 kg x 8" in said["trends"]
    weeks = re.search(r"Volume load a week, chest .*", said["trends"])[0]
    # Three sets of 8: 3,696 lb as typed; 1,680 kg are 3,703.8 lb.
    assert "Mon 26 Oct 3,696" in weeks
    assert "Mon 19 Oct 3,704" in weeks
    figure = json.loads(re.search(
        r'<script id="chart-strength" type="application/json">(.*?)</script>',
        as_coach.get(reverse("logs:client_trends", args=[lifter.pk])).content.decode(), re.S,
    )[1])  # fmt: skip
    assert figure["data"][0]["y"][-1] == pytest.approx(kept.mean_kg / POUND, abs=0.06)
    assert "lb" in figure["layout"]["yaxis"]["title"]["text"]
    assert " kg" not in said["report"].split("Strength")[1].split("What next")[0]
    assert "154 lb x 8" in said["session log"]
    was = all_words(as_coach, {"old": reverse("logs:session_log_detail", args=[old.pk])})["old"]
    assert "70 kg x 8" in was
    lines = list(set_log_lines([lifter.pk]))
    unit, load = lines[0].index("unit"), lines[0].index("load")
    assert {(line[load], line[unit]) for line in lines[1:]} == {("70", "kg"), ("154", "lb")}
    # A file without a unit is read in the unit that holds now.
    monkeypatch.setattr("programs.logs.intake.work.transaction.on_commit", lambda work: work())
    rows = io.StringIO()
    csv.writer(rows).writerows(
        [["client", "date", "exercise", "load", "reps"], [lifter.name, MONDAY, press.name, 155, 8]]
    )
    assert confirm(as_coach, upload(as_coach, rows.getvalue())).status_code == 302
    assert (SetLog.objects.latest("id").load, SetLog.objects.latest("id").unit) == (155_000, "lb")
    planned = PlannedSession.objects.filter(block__program__client=lifter, week_no=4).get()
    body = issue_sheet(by=desk, session=planned, now=NOON, why="Known well.").body
    # The place's bar and plates are in kg: what is loaded is what there is.
    assert {step["unit"] for one in body["exercises"] for step in one["steps"]} == {"kg"}


def test_a_log_of_a_day_to_come(as_coach, lifter, template, press):
    """As a clock that was set back leaves it: when it was logged, the day had come."""
    visit(lifter, MONDAY, press)
    ahead = MONDAY + timedelta(weeks=1)
    log = visit(lifter, ahead, press, now=NOON + timedelta(days=9))
    said = all_words(as_coach, review_pages(lifter, template=template, log=log))
    assert "Upper A 1 of 2" in said["roster"]
    assert ClientNeed.objects.get(client=lifter).last_on == MONDAY
    assert "Mon 30 Nov 2026 a day still to come: correct it" in said["sessions"]
    assert "Mon 23 Nov 2026 a day" not in said["sessions"]
    assert "1 session is logged with a day still to come" in said["trends"]
    assert "Amara Tolledo 3 of 4 1 3 33" in said["programme's clients"]
    assert "You did 1 of 3 planned sessions. 1 session of this block is still to come." in said["report"]
    assert "Upper A, Amara Tolledo, Mon 30 Nov 2026" in said["session log"]
    head = {"done_on": MONDAY.isoformat(), "minutes": "60", "rating": "6", "note": "", "version": str(log.version)}
    assert as_coach.post(reverse("logs:session_log_edit", args=[log.pk]), head).status_code == 302
    assert "still to come" not in all_words(as_coach, review_pages(lifter, template=template))["sessions"]
    again = as_coach.post(
        reverse("logs:session_log_edit", args=[log.pk]), head | {"version": "2", "done_on": ahead.isoformat()}
    )
    assert again.status_code == 422
    assert "has not come yet" in again.content.decode()
