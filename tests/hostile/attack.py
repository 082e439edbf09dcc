"""Sending it: one form at a time, each in a transaction that is taken back, and what came of it."""

import json
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from copy import copy
from dataclasses import dataclass, field
from random import Random
from typing import Any
from urllib.parse import urlencode

from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client as Browser

from tests.hostile.pages import Form
from tests.hostile.payloads import nested, values
from tests.hostile.stored import everything_stored, kept, last_act, normalised, stored_since

FORM = "application/x-www-form-urlencoded"
FINE = {200, 302, 400, 403, 404, 405, 409, 413, 422}
HX = {"HTTP_HX_REQUEST": "true"}
# What moves other rows and is kept nowhere: a place past the end is the end; any value of a tick is a tick.
STEERS = {"position", "insert", "copy", "keep", "to", "to_last"}
# Fields of one request that are hostile together: beyond, forms of many fields would make up most of what is sent.
MOST_AT_ONCE = 12


def taken_back(browser: Browser, send: Callable[[], Any]) -> Any:
    """What `send` gave, with every row and cookie as before: each request sees the same desk."""
    cookies = copy(browser.cookies)
    try:
        with transaction.atomic():
            answer = send()
            transaction.set_rollback(True)
    finally:
        browser.cookies = cookies
    return answer


@dataclass
class Tally:
    """How many hostile values were sent, in how many requests, and what was wrong."""

    inputs: int = 0
    requests: int = 0
    statuses: Counter[int] = field(default_factory=Counter)
    errors: dict[str, str] = field(default_factory=dict)
    altered: dict[str, str] = field(default_factory=dict)

    def add(self, other: "Tally") -> None:
        self.inputs += other.inputs
        self.requests += other.requests
        self.statuses += other.statuses
        self.errors |= other.errors
        self.altered |= other.altered


class Attack:
    """Attacks forms and addresses with one signed-in browser. `ids`: those of others, and of what never was."""

    def __init__(self, browser: Browser, ids: list[str], seed: int) -> None:
        browser.raise_request_exception = False
        self.browser, self.rng, self.tally = browser, Random(seed), Tally()
        self.values = values(ids)

    def form(self, form: Form) -> None:
        """One request: one field hostile, or every field, or the request itself misshapen."""
        style = self.rng.random()
        if style < 0.6 and form.names:
            self._one_field(form)
        elif style < 0.8 and form.names:
            self._every_field(form)
        else:
            self._misshapen(form)

    def address(self, path: str, names: list[str]) -> None:
        """One GET with hostile parameters."""
        chosen = self.rng.sample(names, self.rng.randint(1, min(3, len(names))))
        query = urlencode([(name, self.rng.choice(self.values)) for name in chosen])[:60_000]
        self._count(f"GET {path}", len(chosen), lambda: self.browser.get(f"{path}?{query}", **self._headers()))

    def _one_field(self, form: Form) -> None:
        name, value = self.rng.choice(form.names), self.rng.choice(self.values)
        pairs = [pair for pair in form.pairs if pair[0] != name]
        where = f"{form.route} {name}={value[:40]!r}"

        def send() -> Any:
            before = last_act()
            answer = self._post(form, [*pairs, (name, value)])
            if answer.status_code in (200, 302):
                self._compare(form, name, value, before, where)
            return answer

        self._count(where, 1, send)

    def _compare(self, form: Form, name: str, value: str, before: int, where: str) -> None:
        """Accepted: then it stands there as it was typed, unless it was one of the choices or nothing."""
        typed = normalised(value)
        if form.kinds.get(name) not in ("text", "choice") or name in STEERS or len(form.offered.get(name, [])) == 1:
            return  # not typed by anybody; or a tick box, which is ticked by whatever comes
        if not typed or value in form.offered.get(name, []) or (name, value) in form.pairs or last_act() == before:
            return
        if not kept(stored_since(before), value) and not kept(list(everything_stored()), value):
            self._found(self.tally.altered, f"{form.route} {form.kinds.get(name, '?')} {name}", where)

    def _every_field(self, form: Form) -> None:
        names = self.rng.sample(form.names, min(MOST_AT_ONCE, len(form.names)))
        pairs = [(name, self.rng.choice(self.values)) for name in names]
        self._count(f"{form.route} {pairs!r}"[:600], len(pairs), lambda: self._post(form, pairs))

    def _misshapen(self, form: Form) -> None:
        what, pairs, body, kind = self.rng.choice(list(self._shapes(form)))
        where = f"{form.route} {what}"
        if body is None:
            self._count(where, 1, lambda: self._post(form, pairs))
        else:
            self._count(where, 1, lambda: self.browser.post(form.path, body, content_type=kind, **self._headers()))

    def _shapes(self, form: Form) -> Iterator[tuple[str, list[tuple[str, str]], Any, str]]:
        pairs, pick = form.pairs, self.rng.choice
        yield "nothing at all", [], None, ""
        if pairs:
            gone = pick(pairs)[0]
            yield f"without {gone}", [pair for pair in pairs if pair[0] != gone], None, ""
            again = pick(pairs)
            yield f"{again[0]} again", [*pairs, (again[0], pick(self.values))], None, ""
            yield f"{again[0]} fifty times", [*pairs, *[(again[0], str(n)) for n in range(50)]], None, ""
            yield (
                f"{again[0]}[]",
                [(f"{name}[]" if name == again[0] else name, value) for name, value in pairs],
                None,
                "",
            )
        yield (
            "strange fields",
            [*pairs, ("__proto__", "x"), ("id", "1"), ("practice", "1"), ("a.b", "1"), ("", "x")],
            None,
            "",
        )
        yield "900 fields more", [*pairs, *[(f"f{n}", "1") for n in range(900)]], None, ""
        yield "JSON", [], json.dumps(dict(pairs)).encode(), "application/json"
        yield "deep JSON", [], nested(self.rng).encode(), "application/json"
        yield "deep JSON in a field", [*pairs, (pick(form.names or ["x"]), nested(self.rng))], None, ""
        yield "bytes", [], bytes(self.rng.randrange(256) for _ in range(200)), FORM
        yield "half an escape", [], b"name=%F0%9F&version=%", FORM
        yield (
            "a broken upload",
            [],
            b'--x\r\nContent-Disposition: form-data; name="a"\r\n\r\nb',
            "multipart/form-data; boundary=x",
        )
        yield "text", [], b"hello", "text/plain"

    def _post(self, form: Form, pairs: list[tuple[str, str]]) -> Any:
        if form.files and self.rng.random() < 0.5:
            data: dict[str, Any] = dict(pairs)
            for name in form.files:
                data[name] = SimpleUploadedFile(
                    "x.csv", self.rng.choice(self.values).encode("utf-8", "ignore") or b"\xff\xfe"
                )
            return self.browser.post(form.path, data, **self._headers())
        body = urlencode(pairs, errors="replace")
        return self.browser.post(form.path, body, content_type=FORM, **self._headers())

    def _headers(self) -> dict[str, Any]:
        return HX if self.rng.random() < 0.4 else {}

    def _count(self, where: str, inputs: int, send: Any) -> None:
        self.tally.inputs += inputs
        self.tally.requests += 1
        try:
            answer = taken_back(self.browser, send)
        except Exception as problem:
            route = where.split(" ")[0]
            self._found(self.tally.errors, f"{route} {type(problem).__name__}", f"{where}: {problem!r}"[:900])
            return
        self.tally.statuses[answer.status_code] += 1
        if answer.status_code not in FINE:
            told = traceback.format_exception(*answer.exc_info)[-6:] if getattr(answer, "exc_info", None) else []
            last = told[-1].strip()[:120] if told else ""
            key = f"{where.split(' ')[0]} {answer.status_code} {last}"
            self._found(self.tally.errors, key, f"{where}\n{''.join(told)}"[:1800])

    def _found(self, found: dict[str, str], key: str, words: str) -> None:
        """Note it once, and say it at once: a long run may be stopped before its end."""
        if key not in found:
            found[key] = words
            print(f"FOUND {key}: {words}", flush=True)
