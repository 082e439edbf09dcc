"""The pages of the review in every state: the rules of accessibility in every look, and a Monday by keyboard alone.

Every run holds each state to the rules in one look, the next state in the next; all looks by `-m figures`, which says
how many that were.
"""

from contextlib import contextmanager
from datetime import timedelta

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from clients.models import Client
from programs.logs.models import ClientNeed, MuscleWeek, RosterView
from programs.models import StrengthEstimate
from programs.services import assign_program, record_test
from tests.browser.answers import answered, until
from tests.browser.rules import broken_rules
from tests.browser.test_phone_hands import Keys
from tests.browser.test_trends import DRAWN, MONDAY, START, drawn, lifter, trends
from tests.factories.clients import ClientFactory
from tests.factories.logs import IssuedSheetFactory, exercise_body, logged
from tests.factories.programs import PlannedExerciseFactory, PlannedSessionFactory, ProgramFactory

__all__ = ["lifter"]
# Width in px, colours, medium, the reader's text size, forced colours. 320 px is a page at 400 % on 1,280 px.
LOOKS = [
    (320, "light", "screen", "100%", "none"), (1440, "dark", "screen", "100%", "none"),
    (1440, "light", "screen", "100%", "none"), (1024, "light", "screen", "200%", "none"),
    (390, "dark", "screen", "100%", "none"), (1024, "light", "print", "100%", "none"),
    (1280, "dark", "screen", "100%", "active"),
]  # fmt: skip


class States:
    """A browser on the review's pages; `found` holds what broke a rule in a state and a look."""

    def __init__(self, signed_in, in_all=False):
        self.watched, self.page, self.in_all, self.found, self.count = signed_in, signed_in.page, in_all, [], 0
        self.browser = self.page.context.new_cdp_session(self.page)

    def go(self, name, path):
        self.watched.go(path)
        until(self.page, lambda: self.page.evaluate(DRAWN))
        self.judge(name)

    def judge(self, name):
        """The page as it stands, in every look or in the next one."""
        self.count += 1
        for look in LOOKS if self.in_all else [LOOKS[self.count % len(LOOKS)]]:
            with self.seen_as(*look):
                self.found += [(name, *look, *rule) for rule in broken_rules(self.page)]
                if look[2] == "screen" and self.page.evaluate("document.documentElement.scrollWidth > innerWidth"):
                    self.found.append((name, *look, "scrolls sideways"))

    def _text(self, percent):
        """The reader's own text size, as the browser's settings have it: breakpoints in rem follow it too."""
        sizes = {"standard": 16 * percent // 100, "fixed": 13 * percent // 100}
        self.browser.send("Page.setFontSizes", {"fontSizes": sizes})
        got = f"getComputedStyle(document.documentElement).fontSize === '{sizes['standard']}px'"
        until(self.page, lambda: self.page.evaluate(got))

    @contextmanager
    def seen_as(self, width, scheme, media, size, forced):
        self.page.set_viewport_size({"width": width, "height": 900})
        self.page.emulate_media(color_scheme=scheme, media=media, forced_colors=forced)
        self._text(int(size.rstrip("%")))
        yield
        self._text(100)
        self.page.emulate_media(color_scheme="light", media="screen", forced_colors="none")
        self.page.set_viewport_size({"width": 1280, "height": 900})


@pytest.fixture
def practice(lifter, desk):
    """The lifter with an earlier programme too, two clients on copies of one template, sixteen others."""
    template = ProgramFactory(coach=desk, name="Base block")
    press = StrengthEstimate.objects.filter(client=lifter)[0].exercise
    PlannedExerciseFactory(session=PlannedSessionFactory(program=template), exercise=press)
    for name in ("Bo Ferrand", "Cleo Marsh"):
        client = ClientFactory(coach=desk, name=name)
        assign_program(by=desk, program=template, client=client, start_on=MONDAY, today=MONDAY)
        record_test(by=desk, client=client, exercise=press, load=100_000, unit="kg", reps=1, on=MONDAY)
    earlier = ProgramFactory(client=lifter, coach=desk, name="Spring", start_on=START - timedelta(weeks=6), weeks=6)
    for n in range(2):
        row = PlannedSessionFactory(program=earlier, week_no=n + 1, day=0, name="Full body")
        on = START - timedelta(weeks=6 - n)
        exercises = [exercise_body(press), exercise_body(press, 2)]
        logged(IssuedSheetFactory(client=lifter, for_on=on, planned_session=row, exercises=exercises), rating=5)
    for n in range(15):
        ClientFactory(coach=desk, name=f"Client {n:02}")
    MuscleWeek.objects.create(
        client=Client.objects.get(name="Client 00"), monday=MONDAY - timedelta(weeks=1), muscle="chest", sets=10_000,
        sets_low=10_000, sets_high=10_000,
    )  # fmt: skip
    StrengthEstimate.objects.update(p_rising=0.2, trend_per_week=-0.004, count=20)
    return template


def walk(states, practice, lifter):
    """Every page of the review, in every state that a coach can bring it to."""
    page, roster = states.page, reverse("logs:roster")
    states.go("roster", roster)
    states.go("roster, all ticked", f"{roster}?tick=all")
    states.go("roster, nobody fits", f"{roster}?q=nobody&goal=health")
    states.go("roster, an address typed by hand", f"{roster}?goal=x&wings=2&after=z")
    page.goto(f"{states.watched.base}{roster}?goal=size")
    page.click("#roster-views-open")
    page.fill("#view-name", "For size")
    states.judge("roster, keeping a view")
    page.click("#view-keep")
    page.wait_for_selector("#messages:has-text('is kept')")
    states.judge("roster, a view kept")
    told = [[40, "Strength falling: Row", "need_falling"], *([n, f"Reason {n}", f"r{n}"] for n in range(5, 0, -1))]
    for kept in ClientNeed.objects.filter(client=lifter):
        kept.score, kept.value = 55_000, {**kept.value, "reasons": told}
        kept.save()
    page.goto(f"{states.watched.base}{roster}")
    page.click(f"#more-{lifter.pk}")
    states.judge("roster, folded reasons opened")
    ClientNeed.objects.filter(client__name__startswith="Client").update(on=None)
    ClientNeed.objects.filter(client=lifter).update(on=None)
    bulk(states, roster)
    weights(states, lifter)
    charts(states, practice, lifter)


def bulk(states, roster):
    page = states.page
    page.goto(f"{states.watched.base}{roster}?tick=all")
    page.click("#roster-look")
    states.judge("bulk, nothing chosen")
    page.goto(f"{states.watched.base}{roster}?tick=all")
    page.select_option("#roster-do", "goal:strength")
    page.click("#roster-look")
    page.wait_for_selector("#act-go")
    states.judge("bulk, a look")
    page.click("#act-go")
    page.wait_for_selector("#act-undo")
    states.judge("bulk, done")
    page.click("#act-undo")
    page.wait_for_selector("#changed-title:has-text('put back')")
    states.judge("bulk, taken back")


def weights(states, lifter):
    page = states.page
    states.watched.go(reverse("programs:rule_list"))
    page.fill("#id_need_missed", "3")
    page.click("#rules-preview")
    page.wait_for_selector("#rules-order .hint")
    states.judge("house rules, a preview of weights")
    states.go("who would move", f"{reverse('logs:rule_order')}?need_no_program=0&need_missed=x")
    states.go("who would move, one client", f"{reverse('logs:client_rule_order', args=[lifter.pk])}?need_missed=0")


def charts(states, practice, lifter):
    next_week = reverse("logs:client_next_week", args=[lifter.pk])
    states.go("trends", trends(lifter))
    states.go("trends, an earlier span", f"{trends(lifter)}?weeks=26&until=2026-10-01&muscle=calves")
    states.go("block against block", reverse("logs:client_blocks", args=[lifter.pk]))
    states.go("RIR answers", reverse("logs:client_effort", args=[lifter.pk]))
    states.go("next week", next_week)
    states.page.locator("[id$=-summary]").first.click()
    states.judge("next week, setting aside")
    preview = states.page.get_by_role("link", name="Add one set to Bench press").get_attribute("href")
    states.go("next week, a preview", f"{next_week}{preview}")
    states.go("muscles, names", f"{reverse('logs:muscle_list')}?muscle=chest")
    states.page.locator("#names-inside-open").click()
    states.judge("muscles, everybody named")
    states.go("muscles, nothing logged", f"{reverse('logs:muscle_list')}?week=2020-01-06&muscle=chest")
    states.go("clients of a template", reverse("logs:program_client_list", args=[practice.pk]))
    block = lifter.programs.order_by("-start_on")[0].blocks.get()
    states.go("report", reverse("logs:block_report", args=[block.pk]))
    states.go("absence", reverse("programs:absence_edit", args=[lifter.absences.get().pk]))


def test_no_state_of_the_review_breaks_a_rule(signed_in, practice, lifter):
    signed_in.forgive("422")
    states = States(signed_in)
    walk(states, practice, lifter)
    assert not states.found


@pytest.mark.figures
def test_no_state_of_the_review_breaks_a_rule_in_any_look(signed_in, practice, lifter):
    signed_in.forgive("422")
    states = States(signed_in, in_all=True)
    walk(states, practice, lifter)
    print(f"\n{states.count} states x {len(LOOKS)} looks: {len(states.found)} violations")
    assert not states.found


def test_a_monday_by_keyboard_alone(signed_in, practice, lifter):
    """The roster filtered, the filter kept as a view and used, a client opened, more weeks of every chart shown."""
    page = signed_in.go(reverse("logs:roster"))
    keys = Keys(page)
    keys.to("#roster-goal")
    with answered(page, "goal=strength", "GET"):
        keys.press("s")
        keys.press("t")
        keys.press("Tab")
    expect(page.locator("#roster .empty")).to_contain_text("goal 'strength'")
    keys.to("#roster-views-open").press("Enter")
    keys.to("#view-name")
    page.keyboard.type("For strength")
    keys.to("#view-keep").press("Enter")
    page.wait_for_selector("#messages:has-text('is kept')")
    view = RosterView.objects.get(name="For strength")
    assert view.filters == {"goal": {"value": "strength", "words": "strength"}}
    page = signed_in.go(reverse("logs:roster"))
    keys.to(f"#view-{view.pk}").press("Enter")
    page.wait_for_url("**goal=strength")
    keys.to("#roster-all").press("Enter")
    page.wait_for_selector(f"#client-{lifter.pk}-link")
    keys.to(f"#client-{lifter.pk}-link").press("Enter")
    page.wait_for_url(f"**/clients/{lifter.pk}/")
    keys.to("a[href$='/trends/']").press("Enter")
    page.wait_for_url("**/trends/")
    until(page, lambda: page.evaluate(DRAWN))
    keys.to("#trend-weeks")
    keys.press("ArrowDown")
    keys.to("#trend-show").press("Enter")
    page.wait_for_url("**weeks=26**")
    expect(page.locator("#cap-sets ~ tbody tr")).to_have_count(26)


def test_on_paper_hatched_bars_stay_hatched_and_a_tall_chart_fits_a_page(signed_in, practice, lifter):
    page = drawn(signed_in, reverse("logs:client_blocks", args=[lifter.pk]))
    bars = """[...document.querySelectorAll('[data-chart=chart-block-sets] .bars')]
        .map((one) => getComputedStyle(one.querySelector('.point > path')).fill)"""
    height = "Number(document.querySelector('[data-chart=chart-block-sets] .main-svg').getAttribute('height'))"
    page.emulate_media(media="print")
    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    until(page, lambda: page.evaluate(height) <= 620)
    one, other = page.evaluate(bars)
    assert one.startswith("rgb")
    assert other.startswith("url(")
