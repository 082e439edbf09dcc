"""The client's page in a real browser: taps counted, weight measured, one hand, with and without scripts."""

import pytest
from django.urls import reverse

from programs.logs.models import SetLog

# What a first visit may weigh, everything included.
MOST_BYTES = 100_000


class Taps:
    """Taps on a page, counted; each waits for what it sends."""

    def __init__(self, page):
        self.page, self.count = page, 0

    def on(self, selector, *, sends=True):
        self.count += 1
        if not sends:
            self.page.click(selector)
            return
        with self.page.expect_response(lambda answer: "/my/queue/" in answer.url):
            self.page.click(selector)
        self.page.wait_for_timeout(50)


def path(handed):
    return reverse("phone:session", args=[handed.pk])


def test_a_session_as_written_takes_one_tap_a_step(phone, handed):
    taps = Taps(phone.go(path(handed)))
    steps = ["1-1-1-b", "1-2-1-b", "1-3-1-b", "2-1-1-b", "2-1-2-b", "2-1-3-b", "3-1-1-b", "3-2-1-b"]
    for slot in steps:
        # On the last set of an exercise the tap is the answer to how many reps were left.
        taps.on(f"#s-{slot} button:text-is('2')" if slot == "1-3-1-b" else f"#s-{slot}-save")
    assert taps.count == len(steps)
    taps.page.wait_for_selector("text=Saved on the desk: 8 of 8 sets")
    assert SetLog.objects.filter(as_written=True).count() == 8
    assert SetLog.objects.get(position=1, set_no=3).rir == 2


@pytest.mark.parametrize(
    ("field", "way", "load", "reps"),
    [("load", "more", 75_000, 8), ("load", "less", 65_000, 8), ("reps", "less", 70_000, 7)],
)
def test_a_set_done_otherwise_takes_two_taps(phone, handed, field, way, load, reps):
    taps = Taps(phone.go(path(handed)))
    taps.on(f"#s-1-1-1-b-{field}-{way}", sends=False)
    taps.on("#s-1-1-1-b-save")
    assert taps.count == 2
    taps.page.wait_for_selector("#s-1-1-1-b.is-saved")
    row = SetLog.objects.get()
    assert (row.load, row.reps) == (load, reps)


def test_a_first_visit_weighs_little_and_asks_nobody_else(phone, handed):
    weights = {}
    page = phone.page
    page.on("requestfinished", lambda request: weights.update({request.url: sum(
        request.sizes()[name] for name in ("responseBodySize", "responseHeadersSize")
    )}))  # fmt: skip
    phone.go(path(handed))
    assert len(weights) >= 6
    assert any(url.endswith(".woff2") for url in weights)
    assert sum(weights.values()) < MOST_BYTES, weights


def test_everything_that_can_be_tapped_is_44_px_high_at_320(phone, handed):
    page = phone.go(path(handed))
    page.set_viewport_size({"width": 320, "height": 640})
    small = page.evaluate("""() => [
        ...document.querySelectorAll("a, button, input, select, textarea, summary, label.choice")]
        .filter(one => one.checkVisibility() && one.type !== "hidden" && one.type !== "radio")
        .map(one => [one.id || one.outerHTML.slice(0, 80), one.getBoundingClientRect()])
        .filter(([, box]) => box.height < 44 || box.width < 44).map(([id]) => id)""")
    assert small == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 320


def test_without_scripts_a_session_is_logged_by_plain_forms(phone, linked, handed, browser):
    context = browser.new_context(java_script_enabled=False)
    context.add_cookies(phone.page.context.cookies())
    page = context.new_page()
    page.goto(f"{phone.base}{path(handed)}")
    page.fill("#s-1-1-1-b-reps", "6")
    page.click("#s-1-1-1-b-save")
    assert page.url.endswith("#s-1-2-1-b")
    assert "1 of 8 sets" in page.inner_text("#status")
    assert SetLog.objects.get().reps == 6
    context.close()


def test_the_rest_clock_goes_on_through_a_reload_and_ends_by_the_clock_on_the_wall(phone, handed):
    page = phone.page
    page.clock.install()
    phone.go(path(handed))
    assert page.is_hidden("#rest-clock")
    Taps(page).on("#s-1-1-1-b-save")
    page.wait_for_selector("text=Rest 2:00")
    page.clock.fast_forward(45_000)  # a locked screen: no second was counted
    page.wait_for_selector("text=/Rest 1:1[45]/")
    page.reload()
    page.wait_for_selector("text=/Rest 1:1[0-5]/")
    page.click("#rest-longer")
    page.wait_for_selector("text=/Rest 1:4[0-5]/")
    page.clock.fast_forward(110_000)
    page.wait_for_selector("text=Rest is over")
    page.click("#rest-end")
    assert page.is_hidden("#rest-clock")


def test_a_rest_clock_without_storage_lasts_as_long_as_the_page(phone, handed):
    page = phone.page
    page.add_init_script("Object.defineProperty(window, 'localStorage', {get() { throw new Error('blocked'); }})")
    phone.go(path(handed))
    Taps(page).on("#s-1-1-1-b-save")
    page.wait_for_selector("text=/Rest 1:5|Rest 2:00/")


def test_a_correction_starts_no_rest(phone, handed):
    page = phone.go(path(handed))
    Taps(page).on("#s-1-1-1-b-save")
    page.click("#rest-end")
    page.click("#s-1-1-1-b-change")
    page.wait_for_selector("#s-1-1-1-b-clear")
    Taps(page).on("#s-1-1-1-b-save")
    assert page.is_hidden("#rest-clock")


def test_a_hold_is_timed_against_the_clock_and_logged_with_its_seconds(phone, handed):
    page = phone.page
    page.clock.install()
    phone.go(path(handed))
    page.click("#s-3-1-1-b-reps-hold")
    page.clock.fast_forward(41_000)
    page.click("#s-3-1-1-b-reps-hold")
    assert int(page.input_value("#s-3-1-1-b-reps")) in (41, 42)
    Taps(page).on("#s-3-1-1-b-save")
    assert SetLog.objects.get().reps in (41, 42)
