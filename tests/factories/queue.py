"""What a phone's queue sends, for tests."""

from typing import Any
from uuid import uuid4

from django.test import Client as Browser
from django.urls import reverse

from clients.models import Client
from programs.models import IssuedSheet


def item(sheet: IssuedSheet | None, kind: str = "set", *, key: str = "", ago_s: int = 0, **said: Any) -> dict[str, Any]:
    """One thing said, under a new key unless one is given."""
    pk = sheet.pk if sheet else None
    return {"v": 1, "key": key or uuid4().hex, "sheet": pk, "kind": kind, "ago_s": ago_s, "said": said}


def as_written(sheet: IssuedSheet, slot: str) -> dict[str, Any]:
    """A set of the factories' bench press done as written: 70 kg x 8."""
    return item(sheet, slot=slot, load="70", reps="8")


def post(browser: Browser, body: Any, **headers: str) -> Any:
    """A request as the phone's script sends it; `body`: JSON text, or what becomes it."""
    headers = {"HTTP_X_PHONE": "1"} | headers
    return browser.post(reverse("phone:queue"), body, content_type="application/json", **headers)  # type: ignore[arg-type]


def sent(browser: Browser, client: Client, *items: Any) -> list[dict[str, str]]:
    """What the desk answers to these items, one by one."""
    answer = post(browser, {"v": 1, "whose": client.uid.hex, "items": list(items)})
    assert answer.status_code == 200, answer.content
    found: list[dict[str, str]] = answer.json()["items"]
    assert len(found) == len(items)
    return found
