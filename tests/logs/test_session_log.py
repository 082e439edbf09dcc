"""The log page of an issued sheet: planned against done in one POST, with everything typed kept when it is refused."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse

from programs.logs.mapping import sheet_key
from programs.logs.models import SessionLog, SetLog
from programs.models import StrengthObservation
from tests.factories.clients import ClientFactory
from tests.factories.logs import IssuedSheetFactory, drop_set, exercise_body, step_body, straight_sets
from tests.factories.programs import ExerciseFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet(desk):
    return IssuedSheetFactory(client=ClientFactory(coach=desk, name="Amara Tolledo"))


def url(sheet):
    return reverse("logs:session_log", args=[sheet.pk])


def typed(sheet, **fields):
    given = {"key": sheet_key(sheet.uid).hex, "done_on": "2026-11-24", "minutes": "", "rating": "", "note": ""}
    return given | {name.replace("_1", "-1", 1): value for name, value in fields.items()}


def test_the_page_shows_the_plan_as_placeholders(as_coach, sheet):
    page = as_coach.get(url(sheet)).content.decode()
    assert 'placeholder="70"' in page
    assert "data-cells" in page
    assert 'name="reps-1-1-1-b"' in page
    assert page.count("<h1") == 1
    assert "Log Upper A, Amara Tolledo" in page


def test_typed_rows_are_saved_and_blank_rows_are_not(as_coach, sheet):
    data = typed(sheet, minutes="58", rating="7") | {
        "load-1-1-1-b": "72,5", "reps-1-1-1-b": "8", "rir-1-1-1-b": "1.5", "reps-1-2-1-b": "7",
    }  # fmt: skip
    answer = as_coach.post(url(sheet), data)
    log = SessionLog.objects.get()
    assert answer.status_code == 302
    assert answer.url == reverse("logs:session_log_detail", args=[log.pk])
    rows = list(log.sets.order_by("set_no").values_list("set_no", "load", "reps", "rir", "as_written", "failed"))
    # A blank load is the planned one; seven of eight planned reps without a RIR is a failure.
    assert rows == [(1, 72_500, 8, 1.5, False, False), (2, 70_000, 7, None, False, True)]
    assert (log.minutes, log.rating) == (58, 7)


def test_one_button_saves_the_rest_as_written(as_coach, sheet):
    as_coach.post(url(sheet), typed(sheet) | {"as_written": "all", "rir-1-1-1-b": "1", "reps-1-3-1-b": "6"})
    rows = SetLog.objects.order_by("set_no").values_list("reps", "rir", "as_written")
    assert list(rows) == [(8, 1.0, True), (8, None, True), (6, None, False)]
    # the set only ticked off says less than the two whose effort is known
    assert sorted(StrengthObservation.objects.values_list("reps", "rir", "lower_bound")) == [
        (6, 0.0, False),
        (8, 1.0, False),
    ]


def test_as_written_for_one_exercise_only(as_coach, desk):
    bodies = [exercise_body(ExerciseFactory(), n) for n in (1, 2)]
    sheet = IssuedSheetFactory(client=ClientFactory(coach=desk), exercises=bodies)
    as_coach.post(url(sheet), typed(sheet) | {"written-2": "1"})
    assert set(SetLog.objects.values_list("position", "as_written")) == {(2, True)}
    assert SetLog.objects.count() == 3


def test_failure_as_written_keeps_the_expected_reps_and_unknown_ones_must_be_typed(as_coach, desk):
    steps = [*drop_set(), step_body(set=2, reps_low=0, reps_high=0, to_failure=True, expected_reps=None)]
    sheet = IssuedSheetFactory(
        client=ClientFactory(coach=desk), exercises=[exercise_body(ExerciseFactory(), steps=steps)]
    )
    answer = as_coach.post(url(sheet), typed(sheet) | {"as_written": "all"})
    assert answer.status_code == 422
    assert answer.context["form"].errors.keys() == {"reps-1-2-1-b"}
    as_coach.post(url(sheet), typed(sheet) | {"as_written": "all", "reps-1-2-1-b": "9"})
    assert list(SetLog.objects.order_by("set_no", "step_no").values_list("reps", flat=True)) == [8, 6, 6, 9]


BAD = [
    ("reps", "0"), ("reps", "-8"), ("reps", "1000"), ("reps", "NaN"), ("reps", "8,5"), ("reps", "8.0"),
    ("reps", "8\u00b2"), ("load", "8\u00b2"), ("rir", "\u2460"), ("reps", f"8{' ' * 40}1"),
    ("reps", "1e2"), ("reps", "eight"), ("reps", "9" * 40), ("load", "0"), ("load", "-70"), ("load", "NaN"),
    ("load", "1e400"), ("load", "inf"), ("load", "72.5555"), ("load", "7 2"), ("load", "99999"), ("load", "7" * 39),
    ("rir", "-1"), ("rir", "11"), ("rir", "NaN"), ("rir", "two"), ("rir", "1e1"), ("rir", "9" * 41),
]  # fmt: skip


@pytest.mark.parametrize(("part", "text"), BAD)
def test_a_bad_number_is_refused_at_its_field_with_all_typed_kept(as_coach, sheet, part, text):
    data = typed(sheet, note="Slept badly", minutes="58") | {"load-1-2-1-b": "71", "reps-1-2-1-b": "9"}
    data |= {"reps-1-1-1-b": "8", f"{part}-1-1-1-b": text}
    answer = as_coach.post(url(sheet), data)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [f"{part}-1-1-1-b"]
    for kept in (f'value="{text}"', 'value="71"', 'value="9"', "Slept badly", 'value="58"'):
        assert kept in page
    assert f'id="row-1-1-1-b-{part}-error"' in page
    assert not SessionLog.objects.exists()


GOOD = [
    ("load", "72,5", 72_500),
    ("load", "72.5 kg", 72_500),
    ("load", "７０", 70_000),
    ("reps", "１０", 10),
    ("rir", "1,5", 1.5),
]


@pytest.mark.parametrize(("part", "text", "kept"), GOOD)
def test_numbers_as_people_write_them(as_coach, sheet, part, text, kept):
    as_coach.post(url(sheet), typed(sheet) | {"reps-1-1-1-b": "8", f"{part}-1-1-1-b": text})
    assert getattr(SetLog.objects.get(), part) == kept


HEAD = [
    ("done_on", "2026-11-25"), ("done_on", ""), ("done_on", "yesterday"), ("done_on", "9999-12-31"),
    ("done_on", "1999-12-31"), ("done_on", "2026-02-30"), ("minutes", "0"), ("minutes", "601"), ("minutes", "58,5"),
    ("minutes", "NaN"), ("rating", "11"), ("rating", "-1"), ("rating", "7.5"), ("note", "x" * 2001),
    ("note", "a" + "\u0301" * 10_000), ("note", "e" + "\u0301" * 40), ("key", "not a key"), ("key", ""),
]  # fmt: skip


@pytest.mark.parametrize(("name", "text"), HEAD)
def test_a_bad_head_is_refused_at_its_field(as_coach, sheet, name, text):
    answer = as_coach.post(url(sheet), typed(sheet) | {"reps-1-1-1-b": "8", name: text})
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [name]
    assert 'value="8"' in answer.content.decode()
    assert not SessionLog.objects.exists()


def test_a_nul_in_the_note_is_dropped_and_the_rest_kept(as_coach, sheet):
    as_coach.post(url(sheet), typed(sheet, note="Sle\x00pt") | {"reps-1-1-1-b": "8"})
    assert SessionLog.objects.get().note == "Slept"


def test_a_past_day_is_taken_and_the_future_is_refused_in_words(as_coach, sheet, now):
    answer = as_coach.post(url(sheet), typed(sheet, done_on="2026-11-25") | {"reps-1-1-1-b": "8"})
    assert "Wed 25 Nov 2026 has not come yet" in answer.content.decode()
    as_coach.post(url(sheet), typed(sheet, done_on="17 Nov 2026") | {"reps-1-1-1-b": "8"})
    assert SessionLog.objects.get().done_on == (now - timedelta(days=7)).date()


def test_a_load_far_from_plan_is_asked_about_not_refused(as_coach, sheet):
    data = typed(sheet) | {"load-1-1-1-b": "700", "reps-1-1-1-b": "8"}
    answer = as_coach.post(url(sheet), data)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "700 kg is 10.0 times the planned 70 kg (decimal point?)" in page
    assert 'name="sure-1-1-1-b" value="700"' in page
    assert as_coach.post(url(sheet), data | {"sure-1-1-1-b": "70"}).status_code == 422
    assert as_coach.post(url(sheet), data | {"sure-1-1-1-b": "700"}).status_code == 302
    assert SetLog.objects.get().load == 700_000


@pytest.mark.parametrize(
    ("text", "guess"), [("154.5", "lb typed for kg"), ("140", "pair counted"), ("7", "decimal point")]
)
def test_the_question_names_the_likely_slip(as_coach, sheet, text, guess):
    answer = as_coach.post(url(sheet), typed(sheet) | {"load-1-1-1-b": text, "reps-1-1-1-b": "8"})
    assert guess in answer.content.decode()


@pytest.mark.parametrize("text", ["45", "60", "80", "100"])
def test_an_ordinary_change_of_load_is_not_asked_about(as_coach, sheet, text):
    answer = as_coach.post(url(sheet), typed(sheet) | {"load-1-1-1-b": text, "reps-1-1-1-b": "8"})
    assert answer.status_code == 302


@pytest.mark.parametrize("part", ["load", "rir"])
def test_a_row_without_reps_is_asked_for_them(as_coach, sheet, part):
    answer = as_coach.post(url(sheet), typed(sheet) | {f"{part}-1-1-1-b": "2" if part == "rir" else "72"})
    assert list(answer.context["form"].errors) == ["reps-1-1-1-b"]


def test_nothing_typed_says_what_to_do(as_coach, sheet):
    answer = as_coach.post(url(sheet), typed(sheet))
    assert answer.status_code == 422
    assert "Nothing was entered" in answer.content.decode()


def test_pressing_twice_or_two_tabs_make_one_log(as_coach, sheet):
    data = typed(sheet) | {"as_written": "all"}
    first, again = as_coach.post(url(sheet), data), as_coach.post(url(sheet), data)
    assert first.url == again.url
    other = as_coach.post(url(sheet), data | {"reps-1-1-1-b": "9"})
    assert other.status_code == 422
    assert "saved before with other values" in other.content.decode()
    assert (SessionLog.objects.count(), SetLog.objects.count()) == (1, 3)


def test_a_logged_sheet_leads_to_its_log_and_a_second_time_is_asked_for(as_coach, sheet):
    as_coach.post(url(sheet), typed(sheet) | {"as_written": "all"})
    page = as_coach.get(url(sheet)).content.decode()
    assert "This session is logged" in page
    assert 'id="save-typed"' not in page
    again = as_coach.get(url(sheet) + "?again=1")
    key = again.context["form"]["key"].value()
    as_coach.post(url(sheet), typed(sheet) | {"as_written": "all", "key": str(key)})
    assert SessionLog.objects.count() == 2


def test_a_big_sheet_fits_one_form(as_coach, desk):
    bodies = [exercise_body(ExerciseFactory(), n, steps=straight_sets(20)) for n in range(1, 13)]
    sheet = IssuedSheetFactory(client=ClientFactory(coach=desk), exercises=bodies)
    data = typed(sheet)
    for n in range(1, 13):
        for m in range(1, 21):
            slot = f"{n}-{m}-1-b"
            data |= {f"load-{slot}": "70", f"reps-{slot}": "8", f"rir-{slot}": "2", f"sure-{slot}": ""}
    assert len(data) < 1000
    assert as_coach.post(url(sheet), data).status_code == 302
    assert SetLog.objects.count() == 240


def test_skipping_with_a_reason(as_coach, sheet):
    skip = reverse("logs:session_skip", args=[sheet.pk])
    refused = as_coach.post(skip, {"skipped_why": "", "skipped_on": "2026-11-24"})
    assert refused.status_code == 422
    assert "Say why" in refused.content.decode()
    assert as_coach.post(skip, {"skipped_why": "ill", "skipped_on": "2026-11-25"}).status_code == 422
    answer = as_coach.post(skip, {"skipped_why": "ill", "skipped_on": "2026-11-24"})
    assert answer.status_code == 302
    assert SessionLog.objects.get().skipped_why == "ill"
    assert as_coach.post(skip, {"skipped_why": "ill", "skipped_on": "2026-11-24"}).url == answer.url


@pytest.mark.parametrize("name", ["session_log", "session_skip"])
def test_who_may(as_assistant, as_stranger, anonymous, sheet, name):
    path = reverse(f"logs:{name}", args=[sheet.pk])
    data = typed(sheet) | {"as_written": "all", "skipped_why": "ill", "skipped_on": "2026-11-24"}
    assert as_assistant.post(path, data).status_code == 403
    assert as_stranger.post(path, data).status_code == 404
    assert anonymous.post(path, data).status_code == 302
    assert not SessionLog.objects.exists()


def test_an_assistant_reads_without_buttons(as_assistant, as_stranger, sheet):
    page = as_assistant.get(url(sheet))
    assert page.status_code == 200
    assert b"save-typed" not in page.content
    assert as_stranger.get(url(sheet)).status_code == 404
    assert as_stranger.get(reverse("logs:session_log", args=[10**12])).status_code == 404


def test_the_key_of_another_client_is_not_a_replay(as_coach, desk, sheet):
    key = str(uuid4())
    other = IssuedSheetFactory(client=ClientFactory(coach=desk))
    as_coach.post(url(sheet), typed(sheet) | {"as_written": "all", "key": key})
    as_coach.post(url(other), typed(other) | {"as_written": "all", "key": key})
    assert SessionLog.objects.count() == 2
