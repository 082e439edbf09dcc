"""Forgetting the link on a phone: the cookie and the kept pages go, and nothing unsent without the client's word."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from clients.links.doors import COOKIE
from programs.logs.models import SetLog
from tests.browser.answers import until
from tests.browser.rules import broken_rules
from tests.browser.test_phone_offline import all_sent, ready, tap

MY = "/my/"
LEFT = "async () => (await window.phoneStore.all()).length"
KEPT = "async () => (await caches.keys()).includes('phone-pages')"
GONE = "This phone has forgotten the link"


@pytest.fixture(autouse=True)
def _cut(phone):
    phone.forgive("net::ERR_", "404", "503")


def opened(phone):
    page = phone.go(MY)
    page.wait_for_function("() => window.phoneStore.ready")
    page.click("#forget-open")
    return page


def cookies(page):
    return [one["name"] for one in page.context.cookies() if one["name"] == COOKIE]


def test_the_cookie_and_the_kept_pages_go_in_two_presses(phone, handed):
    page = ready(phone, handed)
    until(page, lambda: page.evaluate(KEPT))
    opened(phone)
    assert not broken_rules(page)
    page.click("#forget-link")
    page.wait_for_url("**/my/forgotten/")
    assert GONE in page.inner_text("h1")
    assert not broken_rules(page)
    assert not cookies(page)
    assert not page.evaluate(KEPT)
    assert page.evaluate("() => localStorage.getItem('phone-whose')") is None
    page.goto(f"{phone.base}{MY}")
    assert "Open your link first" in page.inner_text("h1")
    page.context.set_offline(True)
    page.goto(f"{phone.base}{reverse('phone:session', args=[handed.pk])}")
    assert "No signal" in page.inner_text("h1")
    page.context.set_offline(False)


def test_what_is_not_sent_stays_until_the_client_says_that_it_may_be_lost(phone, handed):
    page = ready(phone, handed)
    phone.go(MY)
    phone.go(reverse("phone:session", args=[handed.pk]))
    page.route("**/my/queue/", lambda route: route.abort())
    tap(page, "1-1-1-b")
    opened(phone)
    page.click("#forget-link")
    expect(page.locator("#forget-words")).to_contain_text("Not sent yet: 1.")
    assert (cookies(page), page.evaluate(LEFT)) == ([COOKIE], 1)
    assert not broken_rules(page)
    page.check("#lose")
    page.click("#forget-link")
    page.wait_for_url("**/my/forgotten/")
    page.unroute("**/my/queue/")
    phone.hold_link(handed.client)
    page.goto(f"{phone.base}{MY}")
    page.wait_for_function("() => window.phoneStore.ready")
    assert page.evaluate(LEFT) == 0
    assert not SetLog.objects.exists()


def test_without_a_signal_nothing_is_forgotten_and_nothing_is_lost(phone, handed):
    page = ready(phone, handed)
    phone.go(MY)
    phone.go(reverse("phone:session", args=[handed.pk]))
    page.route("**/my/queue/", lambda route: route.abort())
    tap(page, "1-1-1-b")
    opened(phone)
    page.route("**/my/forget/", lambda route: route.abort())
    page.click("#forget-link")
    page.check("#lose")
    page.click("#forget-link")
    expect(page.locator("#forget-words")).to_contain_text("Not forgotten")
    assert (cookies(page), page.evaluate(LEFT)) == ([COOKIE], 1)
    page.unroute("**/my/queue/")
    page.evaluate("() => document.dispatchEvent(new CustomEvent('phone-added'))")
    all_sent(page)
    assert SetLog.objects.count() == 1


def test_without_scripts_it_is_a_plain_form(phone, handed, browser):
    context = browser.new_context(java_script_enabled=False, viewport={"width": 390, "height": 844})
    context.add_cookies(phone.page.context.cookies())
    page = context.new_page()
    page.goto(f"{phone.base}{MY}")
    page.click("#forget-open")
    page.click("#forget-link")
    assert GONE in page.inner_text("h1")
    assert not cookies(page)
    context.close()
