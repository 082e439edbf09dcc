"""The page's scripts as one file, sent small and known by its digest: a basement loads one thing and keeps it."""

import hashlib
from functools import cache
from pathlib import Path

from django.contrib.staticfiles import finders

# In the order in which they run.
SCRIPTS = (
    "phone-store", "phone-said", "phone-entries", "phone-steps", "phone-hold", "phone-rest", "phone-unsent",
    "phone-queue", "copy-text",
)  # fmt: skip


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
