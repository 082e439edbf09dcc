"""The phone without a signal: nothing lost, nothing doubled, and nothing called saved before the desk has it."""

import re

import pytest
from django.urls import reverse

from programs.logs.models import PhoneEntry, SessionLog, SetLog
from programs.logs.phone import app
from programs.logs.phone.entries import SetDone
from programs.logs.phone.services import record_entry
from tests.browser.answers import until
from tests.browser.rules import broken_rules
from tests.factories.clients import ClientFactory
from tests.factories.logs import NOON, IssuedSheetFactory, exercise_body, straight_sets
from tests.factories.programs import ExerciseFactory

WAITS = "li.set:has(.state:text-is('on this phone'))"
UNREAD = "Object.defineProperty(window, 'indexedDB', {get() { throw new Error('blocked'); }})"


@pytest.fixture(autouse=True)
def _cut(phone):
    """The browser complains of the network that is cut here, of lost answers, and of what a dead link is refused.

    Chromium's emulation tells a worker a moment later than the page that there is a network again.
    """
    phone.forgive("net::ERR_", "404", "503")  # 503: the worker's own answer without a signal


def path(sheet):
    return reverse("phone:session", args=[sheet.pk])


def ready(phone, sheet):
    """The session's page with its queue open."""
    page = phone.go(path(sheet))
    page.wait_for_function("() => window.phoneStore.ready")
    return page


def tap(page, *slots):
    """Sets done as written, each in one tap; the last of an exercise is answered with two reps left."""
    for slot in slots:
        page.click(f"#s-{slot} button.primary >> nth={2 if page.query_selector(f'#s-{slot} .whole') else 0}")
        page.wait_for_selector(f"#s-{slot} .state")


def all_sent(page):
    left = "async () => (await window.phoneStore.all()).length"
    until(page, lambda: not page.evaluate(left) and not page.inner_text("#unsent-words"))


def test_sets_without_a_signal_wait_on_the_phone_and_arrive_once(phone, handed):
    page = ready(phone, handed)
    page.context.set_offline(True)
    tap(page, "1-1-1-b", "1-2-1-b", "1-3-1-b")
    assert page.locator(WAITS).count() == 3
    assert page.inner_text("#unsent-words") == "On this phone, not sent yet: 3 things."
    assert "Nothing is logged yet" in page.inner_text("#status")
    assert not broken_rules(page)
    assert not SessionLog.objects.exists()
    page.context.set_offline(False)
    page.wait_for_selector("text=Saved on the desk: 3 of 8 sets")
    all_sent(page)
    assert sorted(SetLog.objects.values_list("set_no", "as_written", "rir")) == [
        (1, True, None),
        (2, True, None),
        (3, True, 2),
    ]
    assert page.locator("li.set:has(.state:text-is('saved'))").count() == 3


def test_what_is_typed_without_a_signal_can_be_taken_back_until_it_was_sent(phone, handed):
    page = ready(phone, handed)
    page.context.set_offline(True)
    page.click("#s-1-1-1-b-reps-less")
    page.click("#s-1-1-1-b-save")
    page.click("#s-1-1-1-b-back")
    assert page.input_value("#s-1-1-1-b-reps") == "7"
    page.fill("#s-1-1-1-b-reps", "6")
    page.click("#s-1-1-1-b-save")
    page.wait_for_selector("#s-1-1-1-b .state")
    page.context.set_offline(False)
    all_sent(page)
    assert list(SetLog.objects.values_list("reps", flat=True)) == [6]


def test_a_tab_closed_without_a_signal_loses_nothing(phone, handed):
    page = ready(phone, handed)
    page.context.set_offline(True)
    tap(page, "1-1-1-b", "1-2-1-b")
    context = page.context
    page.close()
    context.set_offline(False)
    later = context.new_page()
    later.goto(f"{phone.base}{path(handed)}")
    later.wait_for_selector("text=Saved on the desk: 2 of 8 sets")
    assert SetLog.objects.count() == 2


def test_an_answer_that_was_lost_is_asked_for_again_and_counts_once(phone, handed):
    page = ready(phone, handed)

    def lose(route):
        route.fetch()
        route.abort()

    page.route("**/my/queue/", lose)
    tap(page, "1-1-1-b")
    until(page, SetLog.objects.exists)
    assert SetLog.objects.count() == 1
    assert page.inner_text("#s-1-1-1-b .state") == "on this phone"
    page.unroute("**/my/queue/")
    page.wait_for_selector("text=Saved on the desk: 1 of 8 sets")
    assert (SetLog.objects.count(), PhoneEntry.objects.count()) == (1, 1)


def test_two_tabs_share_one_queue_and_send_each_thing_once(phone, handed):
    first = ready(phone, handed)
    second = first.context.new_page()
    second.goto(f"{phone.base}{path(handed)}", wait_until="networkidle")
    first.context.set_offline(True)
    tap(first, "1-1-1-b", "1-2-1-b")
    tap(second, "2-1-1-b", "2-1-2-b")
    first.context.set_offline(False)
    for page in (first, second):
        page.wait_for_selector("text=Saved on the desk: 4 of 8 sets")
    assert (SetLog.objects.count(), PhoneEntry.objects.count()) == (4, 4)


def test_where_storage_is_blocked_the_page_says_so_and_sends_plain_forms(phone, handed):
    phone.page.add_init_script(UNREAD)
    page = phone.go(path(handed))
    page.wait_for_selector("text=This browser keeps nothing on the phone")
    page.click("#s-1-1-1-b-reps-less")
    page.route("**/entries/", lambda route: route.abort())
    page.click("#s-1-1-1-b-save")
    page.wait_for_selector("text=Not saved: the desk did not answer")
    assert page.input_value("#s-1-1-1-b-reps") == "7"
    page.unroute("**/entries/")
    page.click("#s-1-1-1-b-save")
    page.wait_for_selector("#s-1-1-1-b.is-saved")
    assert SetLog.objects.get().reps == 7


def test_a_link_revoked_meanwhile_is_said_and_the_queue_stays_to_be_copied(phone, linked, handed):
    page = ready(phone, handed)
    page.context.set_offline(True)
    tap(page, "1-1-1-b")
    linked.links.update(revoked_at=NOON, token_hash=None)
    page.context.set_offline(False)
    page.wait_for_selector("text=This link no longer works")
    assert "1. Bench press, set 1-1-1-b" in page.inner_text("#unsent-text")
    assert "load 70, reps 8" in page.inner_text("#unsent-text")
    assert not broken_rules(page)
    assert page.evaluate("async () => (await window.phoneStore.all()).length") == 1
    assert not SetLog.objects.exists()


@pytest.mark.parametrize("lost", ["link", "cookie"])
def test_what_is_unsent_can_still_be_copied_where_no_link_opens_anything(phone, linked, handed, lost):
    page = ready(phone, handed)
    page.context.set_offline(True)
    tap(page, "1-1-1-b")
    if lost == "link":
        linked.links.update(revoked_at=NOON, token_hash=None)
    else:  # as in-app browsers do
        page.context.clear_cookies()
    page.context.set_offline(False)
    page.reload(wait_until="networkidle")
    assert page.inner_text("h1") == ("This link no longer works" if lost == "link" else "Open your link first")
    page.wait_for_selector("text=On this phone, not sent yet: 1 thing.")
    assert "set 1-1-1-b" in page.inner_text("#unsent-text")
    assert "load 70, reps 8" in page.inner_text("#unsent-text")
    assert not broken_rules(page)
    assert not SetLog.objects.exists()


def test_a_set_that_is_refused_stands_at_its_row_and_the_others_go_on(phone, handed):
    page = ready(phone, handed)
    page.context.set_offline(True)
    page.fill("#s-1-1-1-b-load", "700")
    page.click("#s-1-1-1-b-save")
    tap(page, "1-2-1-b")
    page.context.set_offline(False)
    page.wait_for_selector("text=Saved on the desk: 1 of 8 sets")
    page.wait_for_selector("#s-1-1-1-b .error")
    assert page.input_value("#s-1-1-1-b-load") == "700"
    assert "Not taken by the desk: 1 thing" in page.inner_text("#unsent-words")
    assert not broken_rules(page)
    page.click("#s-1-1-1-b-save")
    all_sent(page)
    assert sorted(SetLog.objects.values_list("set_no", "load")) == [(1, 700_000), (2, 70_000)]


def test_a_set_that_the_coach_logged_meanwhile_is_kept_aside(phone, linked, handed):
    page = ready(phone, handed)
    page.context.set_offline(True)
    tap(page, "1-1-1-b")
    other = SetDone("1-1-1-b", reps=5, load=60_000)
    record_entry(client=linked, sheet=handed, key="0" * 32, entry=other, now=NOON)
    page.context.set_offline(False)
    page.wait_for_selector("text=Kept aside for your coach")
    assert SetLog.objects.get().reps == 5
    assert PhoneEntry.objects.exclude(aside="").count() == 1


def spells(phone, linked, count):
    """So many spells without a signal, ten sets in each; gives how many sets were tapped."""
    bench = ExerciseFactory(practice=linked.practice, name="Bench press")
    body = exercise_body(bench, 1, straight_sets(10))
    tapped = 0
    for _ in range(count):
        sheet = IssuedSheetFactory(client=linked, exercises=[body], issued_at=NOON)
        page = ready(phone, sheet)
        page.context.set_offline(True)
        slots = [f"1-{n}-1-b" for n in range(1, 11)]
        tap(page, *slots)
        tapped += len(slots)
        assert not SetLog.objects.filter(session_log__sheet=sheet).exists()
        page.context.set_offline(False)
        page.wait_for_selector("text=Saved on the desk: 10 of 10 sets")
        all_sent(page)
    return tapped


def arrived():
    return len(set(SetLog.objects.values_list("session_log__sheet", "set_no"))), SetLog.objects.count()


def test_sixty_sets_over_six_spells_arrive_once(phone, linked):
    assert spells(phone, linked, 6) == 60
    assert arrived() == (60, 60)


@pytest.mark.figures
def test_a_thousand_sets_over_a_hundred_spells_arrive_once(phone, linked):
    assert spells(phone, linked, 100) == 1_000
    assert arrived() == (1_000, 1_000)


# A kept page


def held(phone, sheet):
    """The session's page once the worker keeps it."""
    page = ready(phone, sheet)
    page.wait_for_function("async () => (await navigator.serviceWorker.ready) && navigator.serviceWorker.controller")
    kept(page, path(sheet))
    return page


def kept(page, address, *, is_kept=True):
    found = "async (at) => Boolean(await (await caches.open('phone-pages')).match(at))"
    until(page, lambda: page.evaluate(found, address) == is_kept)


def test_a_session_opened_before_opens_without_a_signal_says_how_old_it_is_and_is_logged(phone, handed):
    page = held(phone, handed)
    page.context.set_offline(True)
    page.close()
    page = phone.page.context.new_page()
    page.goto(f"{phone.base}{path(handed)}")
    page.wait_for_selector("text=No signal: this page was kept 0 min ago")
    assert page.evaluate("document.fonts.ready.then(() => document.fonts.size)") > 0
    tap(page, "1-1-1-b")
    page.reload()
    assert page.inner_text("#s-1-1-1-b .state") == "on this phone"
    assert not broken_rules(page)
    page.goto(f"{phone.base}{path(handed)}swap/1/")
    assert page.inner_text("h1") == "No signal"
    assert page.evaluate("document.styleSheets.length") == 1
    assert not broken_rules(page)
    page.context.set_offline(False)
    page.goto(f"{phone.base}{path(handed)}")
    page.wait_for_selector("text=Saved on the desk: 1 of 8 sets")
    assert page.inner_text("#copy") == ""
    assert SetLog.objects.count() == 1


def test_only_the_clients_own_pages_are_kept(phone, handed):
    page = held(phone, handed)
    page.goto(f"{phone.base}{path(handed)}shorter/", wait_until="networkidle")
    page.goto(f"{phone.base}{path(handed)}?at=1-2-1-b", wait_until="networkidle")
    page.goto(f"{phone.base}/my/", wait_until="networkidle")
    kept(page, "/my/")
    names = page.evaluate(
        "async () => (await Promise.all((await caches.keys()).map(async n => (await (await caches.open(n)).keys())"
        ".map(r => new URL(r.url).pathname)))).flat()"
    )
    own = {name for name in names if not name.startswith("/static/")}
    assert own >= {"/my/", "/my/app.js", "/my/app.css", path(handed), f"{path(handed)}shorter/"}
    ahead = re.compile(rf"{path(handed)}((exercises/[123]/swap|shorter)/)?")  # quietly, a moment after the page
    assert all(name in ("/my/", "/my/app.js", "/my/app.css") or ahead.fullmatch(name) for name in own)


def test_a_refused_link_takes_the_kept_pages_and_leaves_the_queue(phone, linked, handed):
    page = held(phone, handed)
    page.context.set_offline(True)
    tap(page, "1-1-1-b")
    linked.links.update(revoked_at=NOON, token_hash=None)
    page.context.set_offline(False)
    page.wait_for_selector("text=This link no longer works")
    kept(page, path(handed), is_kept=False)
    page.reload()
    assert page.inner_text("h1") == "This link no longer works"
    page.context.set_offline(True)
    page.reload()
    assert page.inner_text("h1") == "No signal"
    count = "new Promise(done => { const asked = indexedDB.open('phone', 1); asked.onsuccess = () => {"
    count += (
        "asked.result.transaction('queue').objectStore('queue').count().onsuccess = e => done(e.target.result) } })"
    )
    assert page.evaluate(count) == 1


def test_another_clients_link_in_one_browser_finds_neither_pages_nor_sends_what_was_said(phone, linked, handed, desk):
    page = held(phone, handed)
    page.context.set_offline(True)
    tap(page, "1-1-1-b")
    page.close()
    page = phone.page.context.new_page()
    page.context.set_offline(False)
    phone.hold_link(ClientFactory(coach=desk))
    page.goto(f"{phone.base}/my/", wait_until="networkidle")
    kept(page, path(handed), is_kept=False)
    assert page.inner_text("#unsent-words") == ""
    assert not PhoneEntry.objects.exists()
    phone.hold_link(linked)
    page.goto(f"{phone.base}/my/", wait_until="networkidle")
    all_sent(page)
    assert PhoneEntry.objects.get().client_id == linked.pk


def test_a_new_version_takes_over_at_the_next_visit_and_sends_what_the_old_one_kept(phone, handed, monkeypatch):
    page = held(phone, handed)
    before = page.evaluate("caches.keys()")
    page.context.set_offline(True)
    tap(page, "1-1-1-b")
    newer = app.script() + b"\n// newer\n"
    monkeypatch.setattr(app, "script", lambda: newer)
    page.context.set_offline(False)
    all_sent(page)
    page.reload(wait_until="networkidle")
    assert app.version_of(newer) in page.get_attribute("head script", "src")
    # The kept pages stay, and the new version's files stand in the place of the old one's.
    until(page, lambda: len(now := set(page.evaluate("caches.keys()"))) == 2 and len(now & set(before)) == 1)
    assert SetLog.objects.count() == 1
