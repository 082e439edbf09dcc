"""The page of one session log: rows edited in place, two people on one row, undo, and what the session taught."""

import json
from uuid import uuid4

import pytest
from django.urls import reverse

from coachdesk.practice.models import Act
from programs.logs import services
from programs.logs.models import SessionLog, SetLog
from programs.logs.phone.entries import Rated, SetDone
from programs.logs.phone.services import record_entry
from programs.logs.selectors import estimate_changes, exercises_of
from tests.factories.clients import ClientFactory
from tests.factories.logs import NOON, IssuedSheetFactory, logged, written_steps

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}


@pytest.fixture
def sheet(desk):
    return IssuedSheetFactory(client=ClientFactory(coach=desk, name="Amara Tolledo"))


@pytest.fixture
def log(sheet):
    return logged(sheet, steps=written_steps(sheet)[:2], minutes=58)


@pytest.fixture
def row(log):
    return log.sets.order_by("id").first()


def taught(log):
    return estimate_changes(log, exercises_of(log))


def detail(log):
    return reverse("logs:session_log_detail", args=[log.pk])


def edit(row):
    return reverse("logs:set_edit", args=[row.pk])


def cells(row, **fields):
    return {"load": "70", "reps": "8", "rir": "", "version": str(row.version), **fields}


def test_planned_and_done_stand_side_by_side(as_coach, log):
    page = as_coach.get(detail(log)).content.decode()
    assert "2 of 3 sets done, 58 min" in page
    assert page.count("as written</td>") + page.count("as written<") >= 2
    assert "not done" in page
    assert 'id="set-1-3-1-b-reps"' in page


def test_a_row_is_edited_in_place(as_coach, row):
    answer = as_coach.post(edit(row), cells(row, load="72,5", rir="1"), headers=HTMX)
    page = answer.content.decode()
    row.refresh_from_db()
    assert (answer.status_code, row.load, row.rir, row.version) == (200, 72_500, 1.0, 2)
    assert page.lstrip().startswith('<tr id="set-1-1-1-b">')
    assert 'name="version" value="2"' in page
    assert "90 %" not in page  # what it taught follows a moment later
    assert answer.headers["HX-Trigger"] == json.dumps({"sets-changed": {}})
    assert 'hx-swap-oob="true"' in page
    assert "+2.5 kg" in page
    assert "<html" not in page


def test_what_a_set_taught_follows_as_a_panel_and_is_a_page_of_its_own(as_coach, row, log):
    before = as_coach.get(detail(log)).content.decode()
    as_coach.post(edit(row), cells(row, load="90", rir="0"), headers=HTMX)
    address = reverse("logs:session_log_estimates", args=[log.pk])
    assert f'hx-get="{address}" hx-trigger="sets-changed from:body' in before
    panel = as_coach.get(address, headers=HTMX).content.decode()
    assert "90 kg x 8 to failure" in panel
    assert "90 kg x 8 to failure" not in before
    assert panel in as_coach.get(detail(log)).content.decode()
    page = as_coach.get(address).content.decode()
    assert panel in page
    assert "<html" in page


def test_a_refused_set_teaches_nothing(as_coach, row):
    answer = as_coach.post(edit(row), cells(row, reps="0"), headers=HTMX)
    assert (answer.status_code, "HX-Trigger" in answer.headers) == (422, False)


def test_without_scripts_the_page_comes_back_at_the_row(as_coach, row, log):
    answer = as_coach.post(edit(row), cells(row, reps="7"))
    assert answer.status_code == 302
    assert answer.url == detail(log) + "#set-1-1-1-b"


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("reps", "0"), ("reps", "1000"), ("reps", "8,5"), ("reps", ""), ("load", "-1"), ("load", "NaN"), ("load", "0"),
        ("load", "9" * 45), ("rir", "12"), ("rir", "-0"), ("rir", "x"), ("version", "x"), ("version", "99"),
        ("version", ""),
    ],
)  # fmt: skip
@pytest.mark.parametrize("headers", [HTMX, {}])
def test_a_bad_cell_keeps_what_was_typed(as_coach, row, name, text, headers):
    answer = as_coach.post(edit(row), cells(row, **{"load": "71", "reps": "9", name: text}), headers=headers)
    page = answer.content.decode()
    row.refresh_from_db()
    assert (answer.status_code, row.version) == (422, 1)
    assert 'class="cell-error"' in page
    assert (f'value="{text}"' in page) or name == "version"
    assert ('value="71"' in page) or name == "load"


def test_an_absurd_load_is_asked_about_once(as_coach, row):
    answer = as_coach.post(edit(row), cells(row, load="700"), headers=HTMX)
    assert answer.status_code == 422
    assert 'name="sure"' in answer.content.decode()
    assert as_coach.post(edit(row), cells(row, load="700", sure="700"), headers=HTMX).status_code == 200
    row.refresh_from_db()
    assert as_coach.post(edit(row), cells(row, load="700", reps="9"), headers=HTMX).status_code == 200


def test_two_people_on_one_cell_get_both_values(as_coach, row, desk):
    services.edit_set(by=desk, set_log=row, version=1, values={"load": 75_000, "reps": 9, "rir": None}, now=NOON)
    answer = as_coach.post(edit(row), cells(row, reps="7"), headers=HTMX)
    page = answer.content.decode()
    row.refresh_from_db()
    assert (answer.status_code, row.reps, row.load) == (409, 9, 75_000)
    assert 'class="conflict"' in page
    assert '<span class="theirs">9</span>' in page
    assert 'value="7"' in page
    # What they changed elsewhere is taken over, so keeping mine does not put the old load back.
    assert 'value="75"' in page
    assert 'name="version" value="2"' in page
    kept = as_coach.post(edit(row), cells(row, load="75", reps="7", version="2"), headers=HTMX)
    row.refresh_from_db()
    assert (kept.status_code, row.reps, row.load) == (200, 7, 75_000)


def test_two_people_on_different_cells_keep_both(as_coach, row, desk):
    services.edit_set(by=desk, set_log=row, version=1, values={"rir": 2.0}, now=NOON)
    assert as_coach.post(edit(row), cells(row, reps="9"), headers=HTMX).status_code == 200
    row.refresh_from_db()
    assert (row.reps, row.rir) == (9, 2.0)


def test_the_conflict_comes_as_a_page_without_scripts(as_coach, row, desk):
    services.edit_set(by=desk, set_log=row, version=1, values={"reps": 9}, now=NOON)
    answer = as_coach.post(edit(row), cells(row, reps="7"))
    assert answer.status_code == 409
    assert "Keep theirs" in answer.content.decode()


def test_sending_the_same_row_again_changes_nothing(as_coach, row):
    for _ in range(3):
        assert as_coach.post(edit(row), cells(row, reps="9"), headers=HTMX).status_code == 200
    row.refresh_from_db()
    assert (row.reps, row.version) == (9, 2)


def test_a_blank_row_becomes_a_set_and_clearing_takes_it_out(as_coach, log):
    path = reverse("logs:set_log", args=[log.pk])
    data = {"slot": "1-3-1-b", "load": "", "reps": "6", "rir": "1"}
    for _ in range(2):
        assert as_coach.post(path, data, headers=HTMX).status_code == 200
    made = log.sets.get(set_no=3)
    assert (made.load, made.reps, log.sets.count()) == (70_000, 6, 3)
    refused = as_coach.post(path, data | {"reps": "7"}, headers=HTMX)
    assert refused.status_code == 422
    assert "saved before with other values: 6 reps" in refused.content.decode()
    cleared = as_coach.post(edit(made), {"load": "", "reps": "", "rir": "", "version": "1"}, headers=HTMX)
    assert cleared.status_code == 200
    assert "not done" in cleared.content.decode()
    assert log.sets.count() == 2


def test_clearing_a_row_that_changed_meanwhile_is_refused(as_coach, row, desk):
    services.edit_set(by=desk, set_log=row, version=1, values={"reps": 9}, now=NOON)
    answer = as_coach.post(edit(row), {"load": "", "reps": "", "rir": "", "version": "1"}, headers=HTMX)
    assert answer.status_code == 422
    assert "changed to 9 reps meanwhile" in answer.content.decode()


@pytest.mark.parametrize("slot", ["", "9-9-9-b", "x" * 5000, "1-3-1-b\x00", "1-1-1-b'"])
def test_a_set_that_the_sheet_does_not_have_is_refused_in_words(as_coach, log, slot):
    before = SetLog.objects.count()
    for headers in ({}, HTMX):
        answer = as_coach.post(
            reverse("logs:set_log", args=[log.pk]), {"slot": slot, "load": "70", "reps": "8"}, headers=headers
        )
        assert answer.status_code == 422
        assert "Nothing was saved: this session&#x27;s sheet has no such set." in answer.content.decode()
    assert answer["HX-Retarget"] == "#desk-message"
    assert SetLog.objects.count() == before


def test_the_head_is_corrected_and_two_people_are_told(as_coach, log):
    path = reverse("logs:session_log_edit", args=[log.pk])
    head = {"done_on": "2026-11-23", "minutes": "60", "rating": "8", "note": "Late", "version": "1"}
    assert as_coach.post(path, head).status_code == 302
    log.refresh_from_db()
    assert (log.done_on.day, log.minutes, log.rating, log.note) == (23, 60, 8, "Late")
    stale = as_coach.post(path, head | {"rating": "6"})
    page = stale.content.decode()
    assert stale.status_code == 409
    assert "saved now: 8" in page
    assert "you typed: 6" in page
    refused = as_coach.post(path, head | {"minutes": "0", "note": "Kept"})
    assert refused.status_code == 422
    assert "Kept" in refused.content.decode()


def test_undo_goes_back_step_by_step_to_before_the_session(as_coach, log, row, sheet):
    as_coach.post(edit(row), cells(row, reps="9"))
    path = reverse("logs:session_log_undo", args=[log.pk])
    assert as_coach.post(path).url == detail(log)
    row.refresh_from_db()
    assert row.reps == 8
    assert as_coach.post(path).url == reverse("logs:client_sessions", args=[sheet.client_id])
    assert not SessionLog.objects.exists()
    assert not SetLog.objects.exists()
    assert Act.objects.filter(kind=Act.Kind.UNDO).count() == 2
    assert as_coach.get(detail(log)).status_code == 404


def test_the_estimate_moves_with_its_doubt_and_says_from_what(sheet, desk):
    first = logged(sheet, steps=written_steps(sheet)[:1])
    row = first.sets.get()
    (change,) = taught(first)
    assert change.before is None
    assert change.after is not None
    assert "a lower bound only" in change.evidence
    services.edit_set(by=desk, set_log=row, version=1, values={"rir": 1.0}, now=NOON)
    (change,) = taught(first)
    assert change.evidence == "70 kg x 8, RIR 1"
    assert change.after.low_kg < change.after.mean_kg < change.after.high_kg


@pytest.mark.parametrize(
    ("name", "method"),
    [("session_log_detail", "get"), ("session_log_edit", "post"), ("session_log_undo", "post"), ("set_log", "post"),
     ("set_edit", "get"), ("set_edit", "post")],
)  # fmt: skip
def test_who_may(as_assistant, as_stranger, log, row, name, method):
    path = reverse(f"logs:{name}", args=[row.pk if name == "set_edit" else log.pk])
    data = cells(row, slot="1-3-1-b", done_on="2026-11-24")
    assert getattr(as_stranger, method)(path, data).status_code == 404
    expected = {"get": (200, 302), "post": (403,)}[method]
    assert getattr(as_assistant, method)(path, data).status_code in expected
    assert log.sets.filter(version=1).count() == 2


def test_the_log_survives_its_sheet(as_coach, log, sheet):
    sheet.delete()
    page = as_coach.get(detail(log)).content.decode()
    assert "70 kg x 8" in page
    assert "2 of 2 sets done" in page


def test_the_number_of_queries_does_not_grow_with_sets(as_coach, desk, django_assert_max_num_queries):
    from tests.factories.logs import exercise_body, straight_sets
    from tests.factories.programs import ExerciseFactory

    bodies = [exercise_body(ExerciseFactory(), n, steps=straight_sets(5)) for n in range(1, 6)]
    big = logged(IssuedSheetFactory(client=ClientFactory(coach=desk), exercises=bodies))
    with django_assert_max_num_queries(10):
        as_coach.get(detail(big))


def test_what_the_phone_said_against_the_log_is_shown_and_changes_nothing(as_coach, log):
    said = SetDone("1-1-1-b", reps=5, load=60_000, rir=1.0)
    record_entry(client=log.client, sheet=log.sheet, key=uuid4(), entry=said, now=NOON)
    page = as_coach.get(detail(log)).content.decode()
    assert "set 1: 60 kg x 5, RIR 1. Set 1 was logged already: 70 kg x 8." in page
    assert log.sets.count() == 2


def test_the_tape_says_that_the_client_did_it(as_coach, log):
    record_entry(client=log.client, sheet=log.sheet, key=uuid4(), entry=Rated(7), now=NOON)
    page = as_coach.get(reverse("logs:session_log_changes", args=[log.pk])).content.decode()
    assert "<td>the client</td>" in page
