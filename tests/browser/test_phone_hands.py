"""The client's pages for everybody: a session logged by keyboard alone, and the rules in every state of a row."""

import pytest
from django.urls import reverse

from programs.logs.models import Departure, SessionLog, SetLog
from tests.browser.answers import until
from tests.browser.rules import broken_rules
from tests.factories.programs import ExerciseFactory

# Width in px, colours, medium, the reader's text size: 320 px is a page at 400 % on a screen of 1,280 px.
LOOKS = [(320, "light", "screen", "100%"), (390, "dark", "screen", "100%"), (390, "light", "screen", "200%"),
         (1024, "light", "print", "100%")]  # fmt: skip
HIDDEN = """() => { const bar = document.getElementById('rest-clock');
    if (!bar || bar.hidden || bar.contains(document.activeElement)) return false;
    const at = document.activeElement.getBoundingClientRect();
    return at.height > 0 && at.bottom > bar.getBoundingClientRect().top; }"""


def path(sheet):
    return reverse("phone:session", args=[sheet.pk])


class Keys:
    """A keyboard on a page; every stop of the focus must be seen."""

    def __init__(self, page):
        self.page, self.count = page, 0

    def press(self, key):
        self.count += 1
        self.page.keyboard.press(key)

    def to(self, selector):
        """Tab until the focus is there."""
        for _ in range(150):
            if self.page.evaluate("wanted => document.activeElement.matches(wanted)", selector):
                assert not self.page.evaluate(HIDDEN), selector
                return self
            self.press("Tab")
        raise AssertionError(f"no way by Tab to {selector}")


def test_a_whole_session_is_logged_by_keyboard_alone(phone, handed):
    page = phone.go(path(handed))
    page.wait_for_function("() => window.phoneStore.ready")
    keys = Keys(page)
    for slot in ("1-1-1-b", "1-2-1-b", "1-3-1-b", "2-1-1-b", "2-1-2-b", "2-1-3-b", "3-1-1-b", "3-2-1-b"):
        # After a set the focus stands in the next one by itself.
        inside = page.evaluate("slot => Boolean(document.activeElement.closest(`#s-${slot}`))", slot)
        assert inside or slot == "1-1-1-b"
        keys.to(f"#s-{slot} button.primary" + (":nth-child(4)" if slot == "1-3-1-b" else ""))
        keys.press("Enter")
        page.wait_for_selector(f"#s-{slot} .state")
    page.wait_for_selector("text=Saved on the desk: 8 of 8 sets")
    keys.to("#rating-0").press("Space")
    for _ in range(7):
        keys.press("ArrowRight")
    keys.to("#minutes")
    page.keyboard.type("55")
    keys.to("#rating-save").press("Enter")
    until(page, lambda: SessionLog.objects.filter(rating=7).exists())
    assert SetLog.objects.filter(as_written=True).count() == 8
    assert SetLog.objects.get(position=1, set_no=3).rir == 2
    assert (SessionLog.objects.get().rating, SessionLog.objects.get().minutes) == (7, 55)


def test_a_set_is_changed_and_an_exercise_swapped_and_left_out_by_keyboard_alone(phone, handed):
    other = ExerciseFactory(practice=handed.client.practice, name="Floor press")
    page = phone.go(path(handed))
    page.wait_for_function("() => window.phoneStore.ready")
    keys = Keys(page)
    keys.to("#s-1-1-1-b-reps-less").press("Enter")
    keys.to("#s-1-1-1-b-save").press("Enter")
    page.wait_for_selector("text=Saved on the desk: 1 of 8 sets")
    keys.to("#lift-2-tools summary").press("Enter")
    keys.to("#lift-2-tools button[value='too tired']").press("Space")
    page.wait_for_selector("text=Left out: too tired")
    keys.to("#lift-1-tools summary").press("Enter")
    keys.to("#lift-1-swap").press("Enter")
    page.wait_for_selector("h1:text-is('Instead of Bench press')")
    keys.to(f"#swap-{other.pk}").press("Enter")
    page.wait_for_selector("text=Instead of Bench press. Reps and RIR stay")
    assert SetLog.objects.get().reps == 7
    assert Departure.objects.filter(instead=other).exists()


def looked_at(page, name, found):
    """The page as it stands, in every look."""
    for width, scheme, media, size in LOOKS:
        page.set_viewport_size({"width": width, "height": 844})
        page.emulate_media(color_scheme=scheme, media=media)
        page.evaluate("size => { document.documentElement.style.fontSize = size; }", size)
        found += broken_rules(page, name, width, scheme, media, size)
        if media == "screen" and page.evaluate("document.documentElement.scrollWidth > innerWidth"):
            found.append((name, width, size, "scrolls sideways"))
    page.evaluate("() => { document.documentElement.style.fontSize = ''; }")
    page.emulate_media(color_scheme="light", media="screen")
    page.set_viewport_size({"width": 390, "height": 844})


@pytest.mark.parametrize("way", ["with a signal", "without"])
def test_no_state_of_a_session_breaks_a_rule(phone, handed, way):
    phone.forgive("net::ERR_", "503")
    page, found = phone.go(path(handed)), []
    page.wait_for_function("() => window.phoneStore.ready")
    page.context.set_offline(way == "without")
    looked_at(page, "nothing said", found)
    page.click("#s-1-1-1-b-save")
    page.wait_for_selector("#s-1-1-1-b .state")
    looked_at(page, "a set done, the rest running", found)
    page.click("#s-3-1-1-b-sides")
    page.click("#s-3-1-1-l-reps-hold")
    page.click("#lift-1-tools summary")
    page.click("#lift-1-more")
    page.click("#lift-2-tools summary")
    looked_at(page, "sides, a hold, a set more", found)
    page.click("#lift-2-tools button:text-is('Too tired')")
    page.wait_for_selector("#lift-2 .left-out")
    page.click("label[for=rating-7]")
    page.click("#rating-save")
    page.fill("#text", "All fine.")
    page.click("#message-send")
    page.wait_for_selector("#messages .waits, #messages .message")
    page.fill("#s-1-2-1-b-load", "700")
    page.click("#s-1-2-1-b-save")
    page.wait_for_selector("#s-1-2-1-b .state, #s-1-2-1-b .error")
    looked_at(page, "left out, rated, a message, a load asked about", found)
    assert not found
    page.context.set_offline(False)
    until(page, lambda: SessionLog.objects.filter(rating=7).exists())
