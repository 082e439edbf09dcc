"""The session's page on a slow phone and a slow network: what a first visit weighs, and when the first set can be said.

The network is 'slow 4G' as Lighthouse publishes it and Chrome's developer tools offer it (GoogleChrome/lighthouse,
docs/throttling.md and core/config/constants.js, mobileSlow4G): 150 ms there and back, 1.6 Mbit/s down, 750 kbit/s up,
which for throttling request by request, as the browser does it, they correct to 562.5 ms before each answer,
1,474.56 kbit/s and 675 kbit/s; and a CPU four times slower. Beside it, without a goal and of our own choice, a line of
400 kbit/s both ways with 400 ms. The browser's store of files is empty; the session is the longest that the demo
practice plans for this week. No TLS, which adds one way there and back.
"""

import os
from datetime import timedelta
from statistics import median

import pytest
from django.urls import reverse
from django.utils import timezone

from clients.links.doors import COOKIE, PHONE_PATH
from coachdesk.management.seeding.people import seed_practice
from coachdesk.practice.models import Membership
from programs.logs.models import SetLog
from programs.models import PlannedSession
from programs.services import issue_sheet
from tests.browser.answers import until
from tests.browser.metered import counted_line
from tests.factories.links import with_link

MOST_BYTES, MOST_SECONDS, VISITS = 100_000, 2.5, 5
CPU = 4
NETWORKS = {"slow 4G": (562.5, 1_474.56, 675.0), "400 kbit/s": (400.0, 400.0, 400.0)}  # ms, kbit/s down, kbit/s up
# Usable: the queue is open, so that what is said is kept without the desk; the button stands on the screen.
# Until it is told otherwise the phone believes that it has no signal: what is sent later is no part of the visit.
USABLE = """() => { Object.defineProperty(navigator, 'onLine', {get: () => Boolean(window.signal)});
  const look = () => {
    const button = document.querySelector('li.set.is-open button.primary');
    const painted = performance.getEntriesByName('first-contentful-paint')[0];
    if (window.phoneStore && !window.phoneStore.asked) {
        window.phoneStore.asked = true;
        window.phoneStore.ready.then((ready) => { window.queueOpen = ready; });
    }
    if (button && painted && window.queueOpen && button.checkVisibility()) window.usableAt = performance.now();
    else requestAnimationFrame(look);
}; look(); }"""
KEPT = "async (all) => (await Promise.all(all.map((at) => caches.match(at)))).every(Boolean)"
BLOCKING = """() => performance.getEntriesByType('resource')
    .filter((one) => one.renderBlockingStatus === 'blocking').map((one) => new URL(one.name).pathname)"""


def longest_session():
    """The demo practice's longest session of this week, handed out."""
    now = timezone.now()
    for _ in seed_practice(now=now, weeks=2):
        pass
    owner = Membership.objects.get(role=Membership.Role.OWNER)
    rows = PlannedSession.objects.filter(block__program__client__isnull=False, block__program__archived_on=None)
    sheets = []
    for session in rows.select_related("block__program__client"):
        on = session.block.program.start_on + timedelta(days=7 * session.week_no - 8 + session.day)
        if 0 <= (on - now.date()).days < 7:
            sheets.append(issue_sheet(by=owner, session=session, now=now, why="Talked through."))
    return max(sheets, key=lambda sheet: sum(len(one["steps"]) for one in sheet.body["exercises"]))


@pytest.fixture
def visit(browser, live_server, transactional_db):
    """One first visit of a sheet on a network.

    (bytes, seconds until usable, seconds until a tap is kept, addresses of other hosts, what held up the first paint,
    bytes with the pages that are kept ahead for where there is no signal)
    """

    def first_visit(sheet, network):
        context = browser.new_context(viewport={"width": 390, "height": 844})
        foreign, page = [], context.new_page()
        with counted_line(live_server.url) as line:
            cookie = with_link(sheet.client).cookies[COOKIE].value
            context.add_cookies([{"name": COOKIE, "value": cookie, "url": f"{line.base}{PHONE_PATH}"}])
            context.on("request", lambda r: None if r.url.startswith((line.base, "data:")) else foreign.append(r.url))
            slow_down(page, network)
            page.add_init_script(f"({USABLE})()")
            page.goto(f"{line.base}{reverse('phone:session', args=[sheet.pk])}", wait_until="commit")
            page.wait_for_function("() => window.usableAt")
            usable = page.evaluate("window.usableAt") / 1000
            kept = (
                page.evaluate("""async () => {
                const row = document.querySelector('li.set.is-open').id;
                document.querySelector('li.set.is-open button.primary').click();
                while (!document.querySelector(`#${row} .state`)) await new Promise(requestAnimationFrame);
                return performance.now(); }""")
                / 1000
            )
            # The worker, too, has fetched all that it keeps.
            page.evaluate("navigator.serviceWorker.ready.then(() => undefined)")
            page.wait_for_load_state("networkidle")
            weight = line.down
            page.evaluate("() => { window.signal = true; dispatchEvent(new Event('online')); }")
            until(page, lambda: page.evaluate("async () => !(await window.phoneStore.all()).length"))
            stops = page.evaluate(BLOCKING)
            swaps = [f"{reverse('phone:swap', args=[sheet.pk, one['position']])}" for one in sheet.body["exercises"]]
            until(page, lambda: page.evaluate(KEPT, [reverse("phone:shorter", args=[sheet.pk]), *swaps]))
            ahead = line.down
            context.close()
            return weight, usable, kept, foreign, stops, ahead

    return first_visit


def slow_down(page, network):
    latency, down, up = NETWORKS[network]
    speed = {"latency": latency, "downloadThroughput": down * 125, "uploadThroughput": up * 125}
    wire = page.context.new_cdp_session(page)
    wire.send("Network.enable")
    wire.send("Network.emulateNetworkConditions", {"offline": False, **speed})
    wire.send("Emulation.setCPUThrottlingRate", {"rate": CPU})


@pytest.mark.figures
def test_a_first_visit_on_a_slow_phone_is_light_and_soon_usable(visit):
    sheet = longest_session()
    steps = sum(len(one["steps"]) for one in sheet.body["exercises"])
    print(f"\n{len(sheet.body['exercises'])} exercises, {steps} steps; load of this machine {os.getloadavg()[0]:.1f}")
    middle = {}
    for network in NETWORKS:
        found = [visit(sheet, network) for _ in range(VISITS)]
        weight, usable, kept = (median(one[n] for one in found) for n in range(3))
        foreign = [url for one in found for url in one[3]]
        middle[network] = weight, usable, foreign
        print(f"{network}: {weight:,.0f} bytes with the worker's, usable after {usable:.2f} s "
              f"({min(one[1] for one in found):.2f} to {max(one[1] for one in found):.2f}), tap kept at {kept:.2f} s, "
              f"{len(foreign)} foreign requests; {median(one[5] for one in found):,.0f} bytes with what is "
              f"kept ahead; {VISITS} first visits")  # fmt: skip
    weight, usable, foreign = middle["slow 4G"]
    assert weight <= MOST_BYTES
    assert usable <= MOST_SECONDS
    assert not foreign


def test_a_first_visit_is_light_asks_nobody_else_and_is_drawn_before_its_script(visit, handed):
    weight, _, _, foreign, stops, _ = visit(handed, "slow 4G")
    assert weight <= MOST_BYTES
    assert not foreign
    assert stops == [reverse("phone:style")]
    assert SetLog.objects.count() == 1
