"""A client's link in a browser: made by keyboard, shown once, opened by a phone, and gone once it is revoked."""

from typing import Any

import pytest
from django.urls import reverse

from clients.models import Client, ClientLink
from tests.browser.rules import broken_rules
from tests.qr_reading import text_of

STATES = [(1440, "light", "screen"), (1440, "dark", "screen"), (320, "light", "screen"), (1024, "light", "print")]


def made(signed_in: Any, linked: Client, label: str = "Own phone") -> Any:
    page = signed_in.go(reverse("clients:client_links", args=[linked.pk]))
    page.focus("#id_label")
    page.keyboard.type(label)
    page.keyboard.press("Enter")
    page.wait_for_selector("#link-address")
    return page


def test_an_address_is_made_by_keyboard_and_holds_to_the_rules(signed_in, linked):
    page = made(signed_in, linked)
    assert text_of(page.inner_html("#work")) == page.inner_text("#link-address")
    found = []
    for width, scheme, media in STATES:
        page.set_viewport_size({"width": width, "height": 900})
        page.emulate_media(color_scheme=scheme, media=media)
        found += broken_rules(page, width, scheme, media)
        assert media == "print" or page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert not found
    # Paper lies about: neither the address nor its code is printed.
    assert not page.is_visible("#link-address")
    assert not page.is_visible("svg.qr")


def test_the_address_is_copied_as_text(signed_in, linked, context):
    context.grant_permissions(["clipboard-read", "clipboard-write"])
    page = made(signed_in, linked)
    page.click("#link-copy")
    page.wait_for_function("document.querySelector('#link-copied').textContent === 'Copied.'")
    assert page.evaluate("navigator.clipboard.readText()") == page.inner_text("#link-address")


def test_without_a_clipboard_the_address_is_selected(signed_in, linked):
    page = made(signed_in, linked)
    page.evaluate("() => { navigator.clipboard.writeText = () => Promise.reject(new Error('none')); }")
    page.click("#link-copy")
    page.wait_for_function("document.querySelector('#link-copied').textContent.startsWith('Selected')")
    assert page.evaluate("getSelection().toString()").strip() == page.inner_text("#link-address")


def test_without_scripts_a_link_is_made_and_shown(signed_in, linked, browser, context, live_server):
    plain = browser.new_context(java_script_enabled=False, storage_state=context.storage_state())
    page = plain.new_page()
    page.goto(f"{live_server.url}{reverse('clients:client_links', args=[linked.pk])}")
    page.fill("#id_label", "Tablet")
    page.click("#link-make")
    assert page.is_visible("svg.qr")
    assert text_of(page.inner_html("#work")) == page.inner_text("#link-address")
    assert not page.is_visible("#link-copy")
    plain.close()


@pytest.mark.parametrize("scripts", [True, False])
def test_a_phone_that_opens_the_address_holds_a_cookie_that_no_script_reads(signed_in, linked, browser, scripts):
    address = made(signed_in, linked).inner_text("#link-address")
    token = address.rstrip("/").rpartition("/")[2]
    phone = browser.new_context(java_script_enabled=scripts)
    page = phone.new_page()
    page.goto(address)
    assert page.url.endswith("/my/")
    (cookie,) = [one for one in phone.cookies() if one["name"] == "phone"]
    assert (cookie["value"], cookie["path"], cookie["httpOnly"], cookie["sameSite"]) == (token, "/my/", True, "Lax")
    assert not scripts or token not in page.evaluate("document.cookie + document.referrer + location.href")
    # Sent to the client's own pages and to no page of a coach.
    sent: list[str] = []
    page.on("request", lambda request: sent.append(request.all_headers().get("cookie", "")))
    page.goto(address.partition("/c/")[0] + "/sign-in/")
    assert not [one for one in sent if token in one]
    phone.close()


def test_a_revoked_link_says_so_on_the_phone_that_holds_it(signed_in, linked, browser):
    page = made(signed_in, linked)
    address = page.inner_text("#link-address")
    phone = browser.new_context()
    held = phone.new_page()
    held.goto(address)
    assert held.url.endswith("/my/")
    page.click("#to-links")
    page.click(f"#link-{ClientLink.objects.get().pk}-revoke")
    page.wait_for_selector("text=is revoked and opens nothing any more")
    for again in (address, held.url):
        held.goto(again)
        assert "This link no longer works" in held.inner_text("main")
        assert held.title() == "Link"
        assert broken_rules(held) == []
    phone.close()
