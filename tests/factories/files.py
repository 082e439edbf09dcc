"""A CSV file of sets on its way in, as a browser sends it: chosen, looked at, confirmed."""

import re
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser
from django.urls import reverse


def csv(*rows: str, heading: str = "client,date,exercise,load,reps,rir") -> str:
    """A file with these rows."""
    return "\n".join((heading, *rows)) + "\n"


def upload(browser: Browser, text: str | bytes, name: str = "sets.csv") -> Any:
    """The preview of a file."""
    data = text if isinstance(text, bytes) else text.encode()
    return browser.post(reverse("logs:log_import"), {"file": SimpleUploadedFile(name, data)})


def fields(answer: Any) -> dict[str, str]:
    """What a browser would send back from the preview: hidden fields and the columns as shown."""
    page = answer.content.decode()
    found = dict(re.findall(r'<input type="hidden" name="([\w-]+)" value="([^"]*)"', page))
    for name, options in re.findall(r'<select[^>]* name="(column-\d+)"[^>]*>(.*?)</select>', page):
        found[name] = next(iter(re.findall(r'<option value="(\w+)" selected', options)), "")
    found.pop("csrfmiddlewaretoken", None)
    return found


def press(browser: Browser, answer: Any, do: str = "import", **more: str) -> Any:
    """Confirm what the preview shows."""
    return browser.post(reverse("logs:log_import"), {**fields(answer), "do": do, **more})
