"""What the client's pages are made of: scripts and style sheets as one file each, and the worker that keeps all."""

import hashlib
import json
import re
from functools import cache
from pathlib import Path

from django.contrib.staticfiles import finders
from django.templatetags.static import static
from django.urls import reverse

# In the order in which they run.
SCRIPTS = (
    "phone-store", "phone-rows", "phone-chosen", "phone-said", "phone-choice", "phone-entries", "phone-steps",
    "phone-hold", "phone-rest", "phone-unsent", "phone-waits", "phone-queue", "phone-app",
    "phone-forget", "copy-text",
)  # fmt: skip

# In the order in which they apply.
STYLES = ("tokens", "phone", "unsent")

# What a page needs besides, as its styles and its head name it.
FILES = ("fonts/desk-sans-regular.woff2", "fonts/desk-sans-semibold.woff2", "icon.svg")


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
def style() -> bytes:
    """All style sheets of a client's page in one, without their comments: one answer on a slow network, not three."""
    sheets = b"".join(_read(f"css/{name}.css") for name in STYLES)
    sheets = sheets.replace(b'url("../', f'url("{static("")}'.encode())
    return re.sub(rb"/\*.*?\*/\s*", b"", sheets, flags=re.DOTALL)


def version_of(made: bytes) -> str:
    """Twelve hex signs that change with what was made."""
    return hashlib.sha256(made).hexdigest()[:12]


def script_address() -> str:
    """Where the scripts are, another address whenever they change."""
    return f"{reverse('phone:script')}?v={version_of(script())}"


def style_address() -> str:
    """Where the styles are, another address whenever they change."""
    return f"{reverse('phone:style')}?v={version_of(style())}"


def worker() -> bytes:
    """The service worker, with the files it is to keep; other bytes whenever one of them changes."""
    files = [script_address(), style_address(), *(static(name) for name in FILES)]
    version = version_of(b"".join([script(), style(), *(_read(name) for name in FILES)]))
    head = f"self.PHONE_VERSION = {json.dumps(version)};\nself.PHONE_FILES = {json.dumps(files)};\n"
    return head.encode() + _read("js/phone-worker.js")
