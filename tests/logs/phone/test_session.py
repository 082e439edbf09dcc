"""The page of a session on the phone, as plain forms: what it shows, keeps, refuses and asks about."""

import re

import pytest
from django.test import Client as Browser
from django.urls import reverse

from programs.logs.models import SessionLog, SetLog
from tests.factories.clients import ClientFactory
from tests.factories.links import with_link
from tests.factories.programs import ExerciseFactory
from tests.hostile.pages import as_seen, read_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def url(handed):
    return reverse("phone:session", args=[handed.pk])


def page_of(browser, url):
    answer = browser.get(url)
    assert answer.status_code == 200
    return as_seen(answer.content.decode())


def forms_of(browser, url, kind, **having):
    forms, _ = read_page(url.split("?")[0], page_of(browser, url))
    wanted = {"kind": kind, **having}
    return [dict(form.pairs) for form in forms if wanted.items() <= dict(form.pairs).items()]


def send(browser, url, fields):
    return browser.post(f"{url.split('?')[0]}entries/", fields)


def slot_form(browser, url, slot):
    found = forms_of(browser, f"{url}?at={slot}", "set", slot=slot)
    assert len(found) == 1
    return found[0]


def log_set(browser, url, slot, **changes):
    return send(browser, url, {**slot_form(browser, url, slot), **changes})


def test_one_tap_logs_the_set_as_written_and_leads_to_the_next(as_client, handed, url):
    answer = log_set(as_client, url, "1-1-1-b")
    assert (answer.status_code, answer["Location"]) == (302, f"{url}#s-1-2-1-b")
    row = SetLog.objects.get()
    assert (row.load, row.reps, row.rir, row.as_written) == (70_000, 8, None, True)
    page = page_of(as_client, url)
    assert "Saved on the desk: 1 of 8 sets." in page
    assert re.search(r'id="s-1-2-1-b">\s*<p class="plan">', page)


def test_what_was_changed_is_logged_as_it_was_typed(as_client, url):
    log_set(as_client, url, "1-1-1-b", load="72,5", reps="7")
    row = SetLog.objects.get()
    assert (row.load, row.reps, row.as_written) == (72_500, 7, False)


def test_reps_in_reserve_are_asked_on_the_last_set_of_an_exercise_only(as_client, url):
    page = page_of(as_client, url)
    assert "how many reps were left" not in page
    for slot in ("1-1-1-b", "1-2-1-b"):
        log_set(as_client, url, slot)
    assert page_of(as_client, url).count("how many reps were left") == 1
    log_set(as_client, url, "1-3-1-b", rir="2")
    row = SetLog.objects.get(set_no=3)
    assert (row.rir, row.as_written, row.reps) == (2.0, True, 8)
    assert "how many reps were left" not in page_of(as_client, url)


def test_drops_are_entered_step_by_step_in_the_row_of_their_set(as_client, url):
    for slot, after in (("2-1-1-b", "s-2-1-2-b"), ("2-1-2-b", "s-2-1-3-b"), ("2-1-3-b", "s-3-1-1-b")):
        assert log_set(as_client, url, slot, reps="9")["Location"].endswith(f"#{after}")
    assert list(SetLog.objects.order_by("step_no").values_list("load", "reps")) == [
        (70_000, 9), (56_000, 9), (44_000, 9)
    ]  # fmt: skip


def test_a_load_far_from_the_plan_is_asked_about_once(as_client, url):
    form = slot_form(as_client, url, "1-1-1-b") | {"load": "170"}
    asked = send(as_client, url, form)
    page = asked.content.decode()
    assert asked.status_code == 422
    assert "170 kg is 2.4 times the planned 70 kg" in page
    assert 'name="sure" value="170"' in page
    assert 'value="170"' in page
    assert not SetLog.objects.exists()
    assert send(as_client, url, form | {"sure": "170"}).status_code == 302
    assert SetLog.objects.get().load == 170_000


def test_a_saved_set_is_changed_or_taken_out(as_client, url):
    log_set(as_client, url, "1-1-1-b")
    log_set(as_client, url, "1-1-1-b", reps="6", rir="0")
    row = SetLog.objects.get()
    assert (row.reps, row.rir, row.version, row.failed) == (6, 0.0, 2, True)
    send(as_client, url, forms_of(as_client, f"{url}?at=1-1-1-b", "clear")[0])
    assert not SetLog.objects.exists()


def test_left_and_right_are_logged_apart(as_client, url):
    assert "Left and right apart" in page_of(as_client, url)
    page = page_of(as_client, f"{url}?at=3-1-1-l")
    assert "Set 1, left" in page
    assert "Set 1, right" in page
    log_set(as_client, url, "3-1-1-l", reps="30")
    log_set(as_client, url, "3-1-1-r", reps="24")
    assert list(SetLog.objects.order_by("side").values_list("side", "reps", "rep_kind")) == [
        ("l", 30, "seconds"), ("r", 24, "seconds")
    ]  # fmt: skip


def test_one_more_set_starts_from_the_load_of_the_last(as_client, url):
    log_set(as_client, url, "1-1-1-b", load="65")
    assert slot_form(as_client, url, "1-4-1-b")["load"] == "65"
    log_set(as_client, url, "1-4-1-b", reps="5")
    assert SetLog.objects.get(set_no=4).planned_reps is None


def test_total_reps_and_load_times_reps_are_counted_down(as_client, handed, url):
    first, second = handed.body["exercises"][:2]
    first["target"], second["target"] = [1200, "kg"], [20, "reps"]
    handed.save()
    log_set(as_client, url, "1-1-1-b")
    log_set(as_client, url, "2-1-1-b", reps="12")
    page = page_of(as_client, url)
    assert "560 of 1200 kg (load x reps), 640 left" in page
    assert "12 of 20 reps, 8 left" in page
    log_set(as_client, url, "1-2-1-b", reps="10")
    log_set(as_client, url, "2-1-2-b", reps="8")
    page = page_of(as_client, url)
    assert "1260 of 1200 kg (load x reps), reached" in page
    assert "20 of 20 reps, reached" in page
    assert "not needed" in page
    assert not forms_of(as_client, url, "set", slot="2-1-3-b")


def test_total_reps_not_reached_offer_a_further_bout(as_client, handed, url):
    handed.body["exercises"][1]["target"] = [30, "reps"]
    handed.save()
    for slot in ("2-1-1-b", "2-1-2-b", "2-1-3-b"):
        log_set(as_client, url, slot, reps="8")
    assert 'href="?at=2-1-4-b#s-2-1-4-b"' in page_of(as_client, url)
    log_set(as_client, url, "2-1-4-b", reps="6")
    assert "30 of 30 reps, reached" in page_of(as_client, url)


def test_an_exercise_is_left_out_with_a_reason_and_done_after_all(as_client, url):
    form = forms_of(as_client, url, "skip", place="2")[0]
    assert send(as_client, url, form | {"quick": "no time"})["Location"] == f"{url}#lift-2"
    assert "Left out: no time" in page_of(as_client, url)
    send(as_client, url, forms_of(as_client, url, "skip", place="2")[0])
    assert "Left out:" not in page_of(as_client, url)


def test_a_session_is_skipped_with_a_reason_only(as_client, url):
    form = forms_of(as_client, url, "skip", place="")[0]
    assert "Say why it is left out" in send(as_client, url, form).content.decode()
    assert send(as_client, url, form | {"why": "travelling"}).status_code == 302
    assert SessionLog.objects.get().skipped_why == "travelling"
    assert "Skipped: travelling." in page_of(as_client, url)


def test_an_exercise_is_swapped_for_one_of_those_offered(as_client, handed, url):
    other = ExerciseFactory(practice=handed.client.practice, name="Floor press")
    page = page_of(as_client, f"{url}exercises/1/swap/")
    assert "the load does not carry over" in page
    assert 1 <= page.count('class="offer"') <= 3
    form = forms_of(as_client, f"{url}exercises/1/swap/", "swap")[0]
    send(as_client, url, form | {"exercise": str(other.pk), "why": "equipment taken"})
    page = page_of(as_client, url)
    assert "Instead of Bench press: equipment taken" in page
    assert slot_form(as_client, url, "1-1-1-b")["load"] == ""
    assert "Type the load" in log_set(as_client, url, "1-1-1-b").content.decode()
    log_set(as_client, url, "1-1-1-b", load="50")
    assert SetLog.objects.get().exercise == other
    assert slot_form(as_client, url, "1-2-1-b")["load"] == "50"


def test_pain_and_rating_are_kept_and_shown(as_client, url):
    log_set(as_client, url, "1-1-1-b")
    send(as_client, url, forms_of(as_client, url, "pain", position="1")[0] | {"pain": "3"})
    send(as_client, url, forms_of(as_client, url, "pain")[-1] | {"pain": "2"})
    send(as_client, url, forms_of(as_client, url, "rating")[0] | {"rating": "8", "minutes": "47"})
    log = SessionLog.objects.get()
    assert (log.rating, log.minutes) == (8, 47)
    page = page_of(as_client, url)
    assert "saved: 3" in page
    assert "saved: 2" in page
    assert "rating 8." in page


def test_a_form_sent_twice_or_from_a_page_long_open_changes_nothing(as_client, url):
    form = slot_form(as_client, url, "1-1-1-b")
    for _ in range(3):
        assert send(as_client, url, form).status_code == 302
    again = send(as_client, url, form | {"reps": "5"})
    assert again.status_code == 422
    assert "This was sent before with other values" in again.content.decode()
    assert SetLog.objects.get().reps == 8


def test_what_was_kept_aside_is_said(as_client, url):
    stale = slot_form(as_client, url, "1-1-1-b")
    log_set(as_client, url, "1-1-1-b")
    assert send(as_client, url, stale | {"reps": "5"})["Location"] == f"{url}#aside"
    assert "Bench press, set 1: 70 kg x 5. Set 1 was logged already: 70 kg x 8." in page_of(as_client, url)


def test_a_superset_leads_to_and_fro(as_client, handed, url):
    for one in handed.body["exercises"][::2]:
        one["group"] = "A"
    handed.save()
    assert log_set(as_client, url, "1-1-1-b")["Location"].endswith("#s-3-1-1-b")
    assert log_set(as_client, url, "3-1-1-b")["Location"].endswith("#s-1-2-1-b")


def test_the_script_gets_the_page_itself_and_where_to_go_on(as_client, url):
    form = slot_form(as_client, url, "1-1-1-b")
    answer = as_client.post(f"{url}entries/", form, headers={"X-Phone": "1"})
    assert (answer.status_code, answer["X-Next"]) == (200, "s-1-2-1-b")
    assert "Saved on the desk: 1 of 8 sets." in answer.content.decode()


BAD = [
    {"load": "x"}, {"reps": "0"}, {"reps": "1e400"}, {"reps": ""}, {"load": "NaN"}, {"rir": "11"}, {"key": ""},
    {"key": "x"}, {"slot": "9-1-1-b"}, {"slot": "\x00"}, {"slot": "1" * 5000}, {"over": "-1"}, {"over": "x"},
    {"kind": "nonsense"}, {"kind": ""}, {"kind": "skip", "place": "77", "why": "x"}, {"kind": "pain", "pain": "11"},
    {"kind": "rating"}, {"kind": "rating", "minutes": "601"}, {"kind": "message"},
    {"kind": "message", "text": "x" * 1001}, {"kind": "swap", "position": "1", "exercise": "999999"},
    {"kind": "swap", "position": "x"}, {"kind": "clear", "slot": ""},
    {"kind": "skip", "why": "y" * 201}, {"reps": "\u0668" * 50}, {"load": "9" * 40},
]  # fmt: skip


@pytest.mark.parametrize("bad", BAD, ids=lambda bad: ",".join(f"{k}={v[:12]!r}" for k, v in bad.items()))
def test_what_cannot_be_kept_is_said_and_nothing_is_written(as_client, url, bad):
    answer = send(as_client, url, slot_form(as_client, url, "1-1-1-b") | bad)
    assert answer.status_code == 422
    assert "Not saved." in answer.content.decode()
    assert not SessionLog.objects.exists()


@pytest.mark.parametrize("at", ["x", "\x00", "9-9-9-b", "1-31-1-b", "1-1-1-b" * 9, "1-1-1-", "\u0661-1-1-b"])
def test_an_odd_step_asked_for_opens_nothing(as_client, url, at):
    assert as_client.get(url, {"at": at}).status_code == 200


@pytest.mark.parametrize("ago", ["", "0", "x", "-5", "9" * 30, "1e9", "\u0661"])
def test_how_long_ago_it_was_never_refuses_a_set(as_client, url, ago):
    assert log_set(as_client, url, "1-1-1-b", ago=ago[:20]).status_code == 302


def test_another_clients_sheet_is_not_there(linked, desk, url):
    other = with_link(ClientFactory(coach=desk))
    assert {other.get(url).status_code, other.post(f"{url}entries/").status_code, Browser().get(url).status_code} == {
        404
    }


def test_a_missing_position_is_not_there(as_client, url):
    assert as_client.get(f"{url}exercises/9/swap/").status_code == 404


def test_the_page_needs_few_queries_however_much_is_logged(as_client, url, django_assert_max_num_queries):
    with django_assert_max_num_queries(10):
        as_client.get(url)
    for slot in ("1-1-1-b", "1-2-1-b", "1-3-1-b", "2-1-1-b"):
        log_set(as_client, url, slot)
    with django_assert_max_num_queries(10):
        as_client.get(url)


def test_no_token_and_no_sign_of_the_coachs_desk_stands_on_the_page(as_client, url):
    page = page_of(as_client, url)
    assert as_client.cookies["phone"].value not in page
    assert "<title>Session</title>" in page
    assert "Roster" not in page
    assert as_client.get(url)["Cache-Control"] == "private, no-cache"
