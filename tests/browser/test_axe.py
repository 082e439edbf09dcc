"""Accessibility of every page: axe with target-size on, at desk and 320 px width, light and dark, and in print."""

import pytest
from django.urls import reverse

from clients.models import Client
from coachdesk.practice.models import Membership
from tests.browser.rules import broken_rules
from tests.factories.whole import one_of_everything
from tests.test_access import ROUTES

PAGES = sorted(name for name, (_kind, _thing, methods) in ROUTES.items() if "G" in methods or "W" in methods)
# Files, or only a way to a page.
LEFT_OUT = {
    "clients:link_open", "phone:script", "phone:style", "phone:worker", "programs:calendar_feed",
    "clients:client_export", "clients:practice_export",
    "programs:client_import_example", "programs:sheet_pdf", "programs:sheet_run_pdf",
    "logs:block_report_pdf", "logs:log_import_example",
}  # fmt: skip
STATES = [(1440, "light", "screen"), (1440, "dark", "screen"), (320, "light", "screen"), (1024, "light", "print")]


@pytest.mark.parametrize("name", [n for n in PAGES if n not in LEFT_OUT])
def test_page_has_no_violation_in_any_state(signed_in, desk, now, name):
    ids = one_of_everything(desk, now)
    path = reverse(name, args=ids[ROUTES[name][1]])
    if name == "programs:program_detail":
        path += f"?session={ids['session'][0]}"
    found = []
    if ROUTES[name][0] == "owner":
        Membership.objects.filter(pk=desk.pk).update(role="owner")
    if ROUTES[name][0] == "phone":
        signed_in.hold_link(Client.objects.get(pk=ids["client"][0]))
    page = signed_in.go(path)
    for width, scheme, media in STATES:
        page.set_viewport_size({"width": width, "height": 900})
        page.emulate_media(color_scheme=scheme, media=media)
        found += broken_rules(page, width, scheme, media)
        sideways = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        if media == "screen" and sideways > 0:
            found.append((width, "scrolls sideways by", sideways))
    assert not found


def test_a_page_that_breaks_rules_is_caught(signed_in):
    page = signed_in.go(reverse("practice:act_list"))
    assert not broken_rules(page)
    page.evaluate(
        "document.querySelector('h1').insertAdjacentHTML('afterend', '<img src=\"/x.png\"><button></button>')"
    )
    assert {rule for rule, _ in broken_rules(page)} >= {"image-alt", "button-name"}
    signed_in.forgive("404")  # the picture that is not there
