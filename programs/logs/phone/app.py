"""What the client's pages are made of: their scripts as one file known by its digest, and the worker that keeps all."""

import hashlib
import json
from functools import cache
from pathlib import Path

from django.contrib.staticfiles import finders
from django.templatetags.static import static
from django.urls import reverse

# In the order in which they run.
SCRIPTS = (
    "phone-store", "phone-said", "phone-entries", "phone-steps", "phone-hold", "phone-rest", "phone-unsent",
    "phone-queue", "phone-app", "copy-text",
)  # fmt: skip

# What a page needs besides, as its style sheets and its head name it.
FILES = ("css/tokens.css", "css/phone.css", "css/unsent.css", "fonts/desk-sans-regular.woff2",
         "fonts/desk-sans-semibold.woff2", "icon.svg")  # fmt: skip


def _read(name: str) -> bytes:
    found = finders.find(name)
    if not isinstance(found, str):
        raise FileNotFoundError(name)
    return Path(found).read_bytes()


@cache
def script() -> bytes:
    """All scripts of a client's page, one after the other."""
    return b"\n".join(_read(f"js/{name}.js") for name in SCRIPTS)


@cache
def script_version() -> str:
    """Twelve hex signs that change with the scripts."""
    return hashlib.sha256(script()).hexdigest()[:12]


def script_address() -> str:
    """Where the scripts are, another address whenever they change."""
    return f"{reverse('phone:script')}?v={script_version()}"


def file_address(name: str) -> str:
    """Where a file of these pages is; style sheets under another address whenever they change.

    Fonts are named by a style sheet, which knows no digests.
    """
    digest = hashlib.sha256(_read(name)).hexdigest()[:12]
    return f"{static(name)}?v={digest}" if name.endswith(".css") else static(name)


@cache
def worker() -> bytes:
    """The service worker, with the files it is to keep; other bytes whenever one of them changes."""
    files = [script_address(), *(file_address(name) for name in FILES)]
    digest = hashlib.sha256(b"".join([script(), *(_read(name) for name in FILES)])).hexdigest()[:12]
    head = f"self.PHONE_VERSION = {json.dumps(digest)};\nself.PHONE_FILES = {json.dumps(files)};\n"
    return head.encode() + _read("js/phone-worker.js")
