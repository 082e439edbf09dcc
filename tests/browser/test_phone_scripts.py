"""Scripts in text: whatever a client or a coach types and a phone or the coach's page of it shows stays text.

Every payload goes into every field; nothing may run, the content security policy is not even asked, and what was typed
is read on the page as it was typed. Each run tries every payload where a page shows many at once, and a few payloads in
all other fields; all of them by `-m figures`.
"""

import re

import pytest
from django.urls import reverse

from clients.models import Place
from coachdesk.practice.models import User
from programs.logs.models import ClientMessage, Departure, SessionLog
from programs.models import Exercise
from tests.browser.answers import until
from tests.factories.links import with_link
from tests.factories.logs import NOON, IssuedSheetFactory, exercise_body, step_body
from tests.factories.practice import PracticeFactory
from tests.factories.programs import ExerciseFactory
from tests.factories.queue import item, sent
from tests.hostile.scripts import SCRIPTS

WATCH = """window.ranAt = []; window.refusedByPolicy = [];
window.ran = () => window.ranAt.push(location.href);
for (const name of ['alert', 'confirm', 'prompt']) window[name] = window.ran;
document.addEventListener('securitypolicyviolation', (event) => window.refusedByPolicy.push(event.blockedURI));"""
# A line break that was typed is shown as an element without text of its own.
SEEN = """() => {
    const read = document.body.cloneNode(true);
    for (const one of read.querySelectorAll('br')) one.replaceWith('\\n');
    const typed = [...document.querySelectorAll('input, textarea')].map((one) => one.value);
    return [read.textContent, document.title, ...typed].join('\\n');
}"""
FEW = 12  # payloads between two that every run tries in the fields of which a page shows one


def words(text):
    """As it is kept and read: without what is no sign, spaces alike."""
    return re.sub(r"\s+", " ", re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f]", "", text)).strip()


class Pages:
    """A browser that is both coach and client; counts what it looked at, and remembers what ran."""

    def __init__(self, signed_in, client):
        self.watched, self.looks, self.wrong = signed_in, 0, []
        signed_in.hold_link(client)
        signed_in.page.add_init_script(WATCH)

    def show(self, address, payloads):
        page = self.watched.go(address)
        self.check(address, payloads, page)

    def check(self, address, payloads, page):
        seen = words(page.evaluate(SEEN))
        self.looks += len(payloads)
        ran, refused = page.evaluate("[window.ranAt, window.refusedByPolicy]")
        missing = [one for one in payloads if words(one) not in seen]
        if ran or refused or missing:
            self.wrong.append((address, ran, refused, missing))


@pytest.fixture
def pages(signed_in, linked, handed):
    return Pages(signed_in, linked)


def test_the_payloads_are_many_and_what_is_taken_for_more_than_text_is_noticed(pages):
    assert len(set(SCRIPTS)) == len(SCRIPTS) >= 60
    page = pages.watched.go("/my/")
    pages.watched.forgive("Content Security Policy", "404")
    for payload in ("<img src=x onerror=ran()>", "<details open ontoggle=ran()>"):
        assert payload in SCRIPTS
        page.evaluate("html => document.querySelector('h1').insertAdjacentHTML('afterend', html)", payload)
        page.wait_for_function("() => window.refusedByPolicy.splice(0).length + window.ranAt.splice(0).length")


def lift_of(linked, number, payload):
    """An exercise of a sheet whose every text is the payload; one in three is left out, in part or as a whole."""
    exercise = ExerciseFactory(practice=linked.practice, name=f"{payload} {number}"[:100])
    steps = [step_body(), step_body(set=2)]
    return exercise_body(exercise, number, steps, name=payload, cue=payload, notes=[payload], machine=payload)


def test_every_payload_in_what_a_page_shows_many_of_stays_text(pages, linked, as_coach):
    lifts = [lift_of(linked, n, payload) for n, payload in enumerate(SCRIPTS, start=1)]
    sheet = IssuedSheetFactory(client=linked, exercises=lifts, issued_at=NOON)
    sheet.body["cautions"] = sheet.body["stops"] = list(SCRIPTS)
    sheet.save()
    reasons = [item(sheet, "skip", place=str(n) if n % 2 else f"{n}-1-1-b", why=payload)
               for n, payload in enumerate(SCRIPTS, start=1)]  # fmt: skip
    browser = with_link(linked)
    for at in range(0, len(reasons), 20):
        assert {one["state"] for one in sent(browser, linked, *reasons[at : at + 20])} == {"saved"}
    log = SessionLog.objects.get(sheet=sheet)
    for address in (reverse("phone:session", args=[sheet.pk]), reverse("logs:session_log_detail", args=[log.pk])):
        pages.show(address, SCRIPTS)
    for payload in SCRIPTS:
        ClientMessage.objects.create(client=linked, text=payload, sent_at=NOON, answer=payload, answered_at=NOON)
    pages.show(reverse("logs:client_messages", args=[linked.pk]), SCRIPTS[-20:])
    assert not pages.wrong


def test_every_payload_that_waits_on_the_phone_stays_text(pages, handed):
    page = pages.watched.go(reverse("phone:session", args=[handed.pk]))
    pages.watched.forgive("net::ERR_", "503")
    page.wait_for_function("() => window.phoneStore.ready")
    page.context.set_offline(True)
    for count, payload in enumerate(SCRIPTS, start=1):
        page.fill("#text", payload)
        page.click("#message-send")
        page.wait_for_function("count => document.querySelectorAll('#messages .waits').length === count", arg=count)
    page.click("#leave summary")
    page.fill("#leave-why", SCRIPTS[0])
    page.click("#leave-save")
    page.wait_for_selector("#leave .waits, #end .waits", state="attached")
    pages.check("what waits", SCRIPTS, page)
    page.context.set_offline(False)
    until(page, lambda: ClientMessage.objects.count() == len(SCRIPTS), 60)
    assert not pages.wrong


def turn(pages, linked, desk, at):
    """One payload, and some after it, in every other field; gives in how many fields."""
    some = [SCRIPTS[(at + n) % len(SCRIPTS)] for n in range(5)]
    one = some[0]
    User.objects.filter(pk=desk.user_id).update(name=one[:100])
    Place.objects.filter(pk=linked.place_id).update(name=one[:60])
    type(linked).objects.filter(pk=linked.pk).update(name=one[:100])
    linked.refresh_from_db()
    press, stands = ExerciseFactory(practice=linked.practice), []
    for n in range(3):
        stands.append(ExerciseFactory(practice=linked.practice, name=some[n]))
    sheet = IssuedSheetFactory(client=linked, issued_at=NOON, exercises=[
        exercise_body(press, 1), exercise_body(press, 2, name=one), exercise_body(press, 3, notes=some)])  # fmt: skip
    sheet.body |= {"title": one, "note": one, "place": one}
    sheet.save()
    browser = with_link(linked)
    said = [item(sheet, slot="3-1-1-b", load="70", reps="8"),
            item(sheet, "swap", position="1", exercise=str(stands[0].pk), why=one),
            item(sheet, "skip", place="2", why=one), item(sheet, "skip", place="", why=one),
            *(item(sheet, "message", text=text) for text in some[:3]),
            *(item(None, "message", text=text) for text in some)]  # fmt: skip
    assert {(answer["state"], answer["words"]) for answer in sent(browser, linked, *said)} == {("saved", "")}
    skipped = IssuedSheetFactory(client=linked, issued_at=NOON, exercises=[exercise_body(press)])
    assert sent(browser, linked, item(skipped, "skip", place="", why=one))[0]["state"] == "saved"
    for message in ClientMessage.objects.filter(client=linked).order_by("-id")[:5]:
        message.answer, message.answered_at, message.answered_by = one, NOON, desk
        message.save()
    look(pages, linked, sheet, skipped, some)
    # Out of this practice, so that the next ones are among the few that are offered.
    Exercise.objects.filter(practice=linked.practice).update(practice=PracticeFactory())
    return 16


def look(pages, linked, sheet, skipped, some):
    one = some[0]
    log = SessionLog.objects.get(sheet=sheet)
    assert Departure.objects.filter(session_log=log).count() == 3
    phone, pk = reverse("phone:session", args=[sheet.pk]), [linked.pk]
    pages.show("/my/", [*some, f"skipped: {one}"])
    pages.show(phone, [*some, f"The rest is left out: {one}", f"Left out: {one}"])
    pages.show(f"{phone}exercises/3/swap/", some[:3])
    pages.show(f"{phone}shorter/", [])
    pages.show(f"{phone}place/", [one])
    pages.show(reverse("logs:client_messages", args=pk), some)
    pages.show(reverse("logs:session_log_detail", args=[log.pk]), [one])
    pages.show(reverse("logs:client_sessions", args=pk), [one, f"skipped: {one}"])
    pages.show(reverse("clients:client_detail", args=pk), [one])
    pages.show(reverse("logs:roster"), [one])


def test_a_few_payloads_in_every_other_field_stay_text(pages, linked, desk):
    for at in range(0, len(SCRIPTS), FEW):
        turn(pages, linked, desk, at)
    assert not pages.wrong


@pytest.mark.figures
def test_every_payload_in_every_other_field_stays_text(pages, linked, desk):
    fields = sum(turn(pages, linked, desk, at) for at in range(len(SCRIPTS)))
    print(f"\n{len(SCRIPTS)} payloads, {fields} fields filled, read {pages.looks} times on 10 pages, "
          f"{len(pages.wrong)} pages where anything ran, was refused or was not as typed")  # fmt: skip
    assert not pages.wrong
