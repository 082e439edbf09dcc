"""What waited on the phone: kept once and in order, answered thing by thing, and read strictly."""

import json
from datetime import timedelta
from random import Random

import pytest
from django.test import Client as Browser
from django.urls import reverse

from programs.logs.models import ClientMessage, Departure, PhoneEntry, SessionLog, SetLog
from tests.factories.clients import ClientFactory
from tests.factories.links import with_link
from tests.factories.logs import TUESDAY
from tests.factories.programs import ExerciseFactory
from tests.factories.queue import as_written, item, post, sent

pytestmark = pytest.mark.django_db


def test_one_request_keeps_several_things_in_the_order_they_were_said(as_client, linked, handed):
    answers = sent(
        as_client, linked, as_written(handed, "1-1-1-b"), item(handed, slot="1-2-1-b", load="72.5", reps="7"),
        item(handed, "pain", position="1", pain="3"), item(handed, "rating", rating="7", minutes="55"),
        item(None, "message", text="All fine."),
    )  # fmt: skip
    assert [one["state"] for one in answers] == ["saved"] * 5
    log = SessionLog.objects.get()
    assert list(log.sets.order_by("set_no").values_list("load", "reps", "as_written")) == [
        (70_000, 8, True),
        (72_500, 7, False),
    ]
    assert (log.rating, log.minutes, ClientMessage.objects.get().text) == (7, 55, "All fine.")


def test_the_same_again_gets_the_first_answer_though_it_would_be_read_otherwise_by_now(as_client, linked, handed):
    first, other = as_written(handed, "1-1-1-b"), item(handed, slot="1-1-1-b", load="70", reps="6")
    once = sent(as_client, linked, first, other)
    assert [one["state"] for one in once] == ["saved", "aside"]
    sent(as_client, linked, item(handed, "clear", slot="1-1-1-b", over="1"))
    Departure.objects.create(
        session_log=SessionLog.objects.get(), place="1", instead_id=handed.body["exercises"][1]["exercise"]
    )
    late = [{**one, "ago_s": 5_000_000} for one in (first, other)]
    assert sent(as_client, linked, *late) == once
    assert not SetLog.objects.exists()


def test_a_known_key_with_other_values_is_refused_and_changes_nothing(as_client, linked, handed):
    first = as_written(handed, "1-1-1-b")
    answers = sent(as_client, linked, first, {**first, "said": {**first["said"], "reps": "9"}}, first)
    assert [one["state"] for one in answers] == ["saved", "refused", "saved"]
    assert "other values" in answers[1]["words"]
    assert SetLog.objects.get().reps == 8


def test_one_that_is_refused_holds_up_none_that_follows(as_client, linked, handed):
    answers = sent(
        as_client, linked, item(handed, slot="1-1-1-b", load="70", reps="many"), as_written(handed, "1-2-1-b"),
        item(handed, slot="9-9-9-b", load="70", reps="8"), as_written(handed, "1-3-1-b"),
    )  # fmt: skip
    assert [one["state"] for one in answers] == ["refused", "saved", "refused", "saved"]
    assert all(one["words"] for one in answers if one["state"] == "refused")
    assert sorted(SetLog.objects.values_list("set_no", flat=True)) == [2, 3]


def test_a_load_far_from_the_plan_is_asked_about_and_kept_once_it_is_sure(as_client, linked, handed):
    far = item(handed, slot="1-1-1-b", load="700", reps="8")
    asked = sent(as_client, linked, far)[0]
    assert (asked["state"], bool(asked["asks"])) == ("refused", True)
    sure = item(handed, **far["said"], sure=asked["asks"])
    assert sent(as_client, linked, sure)[0]["state"] == "saved"
    assert SetLog.objects.get().load == 700_000


def test_a_set_names_the_exercise_it_was_said_of_and_an_older_page_names_none(as_client, linked, handed):
    bench, curl = (one["exercise"] for one in handed.body["exercises"][:2])
    right = {**item(handed, slot="1-1-1-b", load="70", reps="8", exercise=str(bench)), "v": 2}
    wrong = {**item(handed, slot="1-2-1-b", load="70", reps="8", exercise=str(curl)), "v": 2}
    older, newer_field = as_written(handed, "1-3-1-b"), item(handed, slot="2-1-1-b", reps="8", exercise=str(curl))
    answers = sent(as_client, linked, right, wrong, older, newer_field)
    assert [one["state"] for one in answers] == ["saved", "refused", "saved", "refused"]
    assert "Another exercise stands here" in answers[1]["words"]
    assert sorted(SetLog.objects.values_list("set_no", flat=True)) == [1, 3]


def test_a_swap_that_is_refused_takes_its_sets_with_it(as_client, linked, handed):
    gone = ExerciseFactory(practice=handed.client.practice)
    swap = item(handed, "swap", position="1", exercise=str(gone.pk), why="pain")
    sets = {**item(handed, slot="1-1-1-b", load="20", reps="8", exercise=str(gone.pk)), "v": 2}
    gone.delete()
    assert [one["state"] for one in sent(as_client, linked, swap, sets)] == ["refused", "refused"]
    assert not SetLog.objects.exists()


def test_choices_of_the_day_sent_five_times_from_two_tabs_count_once(as_client, linked, handed):
    other = ExerciseFactory(practice=handed.client.practice)
    swap = item(handed, "swap", position="1", exercise=str(other.pk), why="equipment taken")
    short = item(handed, "short", minutes="30", rest="60", left_out=["1-3-1-b", "2-1-1-b"], pairs=["1-2"])
    first, rng = sent(as_client, linked, swap, short), Random(6)
    assert [one["state"] for one in first] == ["saved", "saved"]
    before, tabs = list(Departure.objects.order_by("id").values()), (as_client, with_link(linked))
    for _ in range(4):
        pairs = list(zip((swap, short), first, strict=True))
        rng.shuffle(pairs)
        assert sent(rng.choice(tabs), linked, *(thing for thing, _ in pairs)) == [answer for _, answer in pairs]
    assert list(Departure.objects.order_by("id").values()) == before
    assert (len(before), PhoneEntry.objects.count()) == (3, 2)
    changed = {**swap, "said": {**swap["said"], "why": "pain"}}
    assert sent(as_client, linked, changed)[0]["state"] == "refused"


@pytest.mark.parametrize("change", [{"v": 3}, {"kind": "jump"}, {"v": 3, "more": [1]}])
def test_what_a_newer_page_says_is_left_on_the_phone(as_client, linked, handed, change):
    answers = sent(as_client, linked, {**as_written(handed, "1-1-1-b"), **change}, as_written(handed, "1-2-1-b"))
    assert [one["state"] for one in answers] == ["unknown", "saved"]
    assert SetLog.objects.get().set_no == 2


@pytest.mark.parametrize(
    "change",
    [
        {"v": "1"}, {"v": 0}, {"v": True}, {"v": 1.0}, {"key": 5}, {"key": "x" * 32}, {"key": "A" * 32}, {"sheet": "1"},
        {"sheet": True}, {"sheet": 1.5}, {"sheet": 10**40}, {"sheet": 0}, {"sheet": -1}, {"kind": None},
        {"kind": ["set"]},
        {"ago_s": "3"}, {"ago_s": 1.5}, {"ago_s": 10**20}, {"said": []}, {"said": None}, {"more": 1},
        {"said": {"slot": "1-1-1-b", "load": 70, "reps": "8"}}, {"said": {"slot": "1-1-1-b", "load": "70", "reps": 8}},
        {"said": {"slot": "1-1-1-b", "load": "70", "reps": "8", "rest": "5"}}, {"said": {"slot": ["1-1-1-b"]}},
        {"said": {"load": "70", "reps": "8"}}, {"kind": "skip", "said": {"why": "no time"}},
        {"said": {"slot": "1-1-1-b", "load": "70", "reps": "8\x00"}}, {"said": {"slot": "\ud800", "reps": "8"}},
        {"said": {"slot": "1-1-1-b", "load": "NaN", "reps": "8"}},
        {"said": {"slot": "1-1-1-b", "load": "1e400", "reps": "8"}},
        {"said": {"slot": "1-1-1-b", "load": "7" * 40, "reps": "8"}}, {"said": {"slot": "1-1-1-b", "reps": "8" * 5000}},
    ],
)  # fmt: skip
def test_an_item_of_wrong_shape_is_refused_with_words(as_client, linked, handed, change):
    answer = sent(as_client, linked, {**as_written(handed, "1-1-1-b"), **change})[0]
    assert answer["state"] == "refused"
    assert answer["words"]
    assert not PhoneEntry.objects.exists()


@pytest.mark.parametrize("raw", [None, 5, "set", [], {}, {"v": 1}, [[[]]]])
def test_an_item_that_is_none_is_refused(as_client, linked, handed, raw):
    assert [one["state"] for one in sent(as_client, linked, raw, as_written(handed, "1-1-1-b"))] == ["refused", "saved"]


def whole(linked, items):
    return json.dumps({"v": 1, "whose": linked.uid.hex, "items": items})


@pytest.mark.parametrize(
    "body",
    [
        "", "x", "null", "[]", "5", "{}", '{"v": 1}', "[" * 100_000, '{"a":' * 100_000, "1" * 10_000, "\xff",
        '{"v": NaN, "whose": "", "items": []}', '{"v": Infinity}', "x" * 1_000_000, '{"v": 1, "v": 1}',
    ],
)  # fmt: skip
def test_a_body_that_is_none_is_refused_as_a_whole(as_client, linked, body):
    answer = post(as_client, body)
    assert (answer.status_code, set(answer.json())) == (422, {"v", "words"})


def test_names_that_stand_twice_too_many_items_and_foreign_fields_are_refused_as_a_whole(as_client, linked, handed):
    one = json.dumps(as_written(handed, "1-1-1-b"))
    twice = whole(linked, ["ITEM"]).replace('"ITEM"', one.replace('"v": 1', '"v": 1, "v": 1'))
    many = whole(linked, [as_written(handed, "1-1-1-b")] * 21)
    more = json.dumps({"v": 1, "whose": linked.uid.hex, "items": [as_written(handed, "1-1-1-b")], "x": 1})
    for body in (twice, many, more, whole(linked, [])):
        assert post(as_client, body).status_code == 422
    assert post(as_client, json.dumps({"v": 2, "whose": linked.uid.hex, "items": [1]})).status_code == 422
    assert not PhoneEntry.objects.exists()


def test_a_page_open_for_days_needs_no_token_and_another_site_cannot_send(linked, handed):
    browser = with_link(linked)
    guarded = Browser(enforce_csrf_checks=True)
    guarded.cookies = browser.cookies
    body = whole(linked, [as_written(handed, "1-1-1-b")])
    url = reverse("phone:queue")
    assert guarded.post(url, body, content_type="text/plain", HTTP_X_PHONE="1").status_code == 422
    assert guarded.post(url, body, content_type="application/json").status_code == 403
    for headers in (
        {"HTTP_ORIGIN": "https://elsewhere.example"},
        {"HTTP_ORIGIN": "null"},
        {"HTTP_SEC_FETCH_SITE": "cross-site"},
    ):
        assert post(guarded, body, **headers).status_code == 403
    assert not PhoneEntry.objects.exists()
    here = {"HTTP_ORIGIN": "http://testserver", "HTTP_SEC_FETCH_SITE": "same-origin"}
    assert post(guarded, body, **here).status_code == 200


def test_what_was_said_under_another_link_is_not_sent_under_this_one(as_client, linked, handed, desk):
    other = ClientFactory(coach=desk)
    answer = post(with_link(other), whole(linked, [as_written(handed, "1-1-1-b")]))
    assert answer.status_code == 409
    theirs = sent(with_link(other), other, as_written(handed, "1-1-1-b"))[0]
    missing = sent(with_link(other), other, {**as_written(handed, "1-1-1-b"), "sheet": 10**15})[0]
    assert (theirs["state"], theirs["words"]) == (missing["state"], missing["words"]) == ("refused", missing["words"])
    assert not PhoneEntry.objects.exists()


def test_a_link_that_was_revoked_is_told_apart_from_a_page_that_is_gone(as_client, linked, handed):
    linked.links.update(revoked_at=handed.issued_at, token_hash=None)
    answer = post(as_client, whole(linked, [as_written(handed, "1-1-1-b")]))
    assert (answer.status_code, answer["X-Link"]) == (404, "refused")
    assert post(Browser(), "{}")["X-Link"] == "missing"
    assert "X-Link" not in Browser().get("/my/nothing/")


def test_what_waited_goes_to_the_day_it_was_said(as_client, linked, handed):
    handed.issued_at -= timedelta(days=9)
    handed.save()
    sent(as_client, linked, item(handed, slot="1-1-1-b", load="70", reps="8", ago_s=3 * 86_400))
    assert SessionLog.objects.get().done_on == TUESDAY - timedelta(days=3)


def shuffled_copies(browser, linked, sheet, rng, *, count, copies):
    """Each set sent `copies` times in all from two tabs, in any order; what came of the first copies in order."""
    slots = [f"1-{n}-1-b" for n in (1, 2, 3)]
    things = [item(sheet, slot=rng.choice(slots), load="70", reps=str(rng.randint(1, 12))) for _ in range(count)]
    first = {one["key"]: one for one in sent(browser, linked, *things)}
    again = things * (copies - 1)
    rng.shuffle(again)
    other = with_link(linked)
    for at in range(0, len(again), 20):
        for answer in sent(rng.choice([browser, other]), linked, *again[at : at + 20]):
            assert answer == first[answer["key"]]
    return list(first.values())


def counted(browser, linked, sheet, *, rounds):
    """(replays, extra rows, missing rows) over so many rounds of 20 things, 5 copies each."""
    rng, wrong, replays = Random(5), 0, 0
    for number in range(rounds):
        before = PhoneEntry.objects.count()
        shuffled_copies(browser, linked, sheet, rng, count=20, copies=5)
        replays += 80
        wrong += PhoneEntry.objects.count() - before - 20
        assert SetLog.objects.count() == len(set(SetLog.objects.values_list("set_no", "step_no", "side"))) <= 3, number
    return replays, wrong


def test_copies_from_two_tabs_in_any_order_count_once(as_client, linked, handed):
    assert counted(as_client, linked, handed, rounds=3) == (240, 0)


@pytest.mark.figures
def test_ten_thousand_copies_from_two_tabs_in_any_order_count_once(as_client, linked, handed):
    assert counted(as_client, linked, handed, rounds=125) == (10_000, 0)
