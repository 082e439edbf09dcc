"""Where it goes: every form on every page, read off the pages themselves, and every parameter of an address."""

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any
from unittest.mock import patch
from urllib.parse import parse_qsl, urlsplit

from django.http import QueryDict
from django.urls import Resolver404, resolve

# The token is the browser's own; the search field stands on every page and is asked for by every template.
UNSENT = {"csrfmiddlewaretoken", "q"}

# The innermost first: a template may hold others.
_TEMPLATE = re.compile(r"<template[^>]*>(?:(?!<template).)*?</template>", re.DOTALL)


def as_seen(html: str) -> str:
    """A page without what lies in templates, which is shown by scripts only."""
    while _TEMPLATE.search(html):
        html = _TEMPLATE.sub("", html)
    return html


CONTROLS = ("input", "select", "textarea", "button")


@dataclass
class Form:
    """One form as a browser would send it: (name, value) pairs, with every value that a choice offers."""

    path: str
    method: str
    route: str = ""
    pairs: list[tuple[str, str]] = field(default_factory=list)
    offered: dict[str, list[str]] = field(default_factory=dict)
    files: set[str] = field(default_factory=set)
    # Control by name: 'text', 'hidden', 'choice' or 'file'.
    kinds: dict[str, str] = field(default_factory=dict)

    @property
    def names(self) -> list[str]:
        return list(dict.fromkeys([name for name, _ in self.pairs] + list(self.offered)))

    @property
    def shape(self) -> tuple[str, ...]:
        """What tells two forms of a route apart: their fields, not the row they stand in."""
        return tuple(sorted({name.rstrip("0123456789-blr") for name in self.names}))


class _Reader(HTMLParser):
    """Collects forms, with controls elsewhere on the page that name a form as theirs, and addresses of links."""

    def __init__(self, path: str) -> None:
        super().__init__()
        self.path, self.forms, self.by_id, self.links = path, [], {}, []  # type: ignore[var-annotated]
        self.open: Form | None = None
        self.select: tuple[Form, str] | None = None
        self.text: tuple[Form, str, list[str]] | None = None
        self.late: list[tuple[str, str, dict[str, str]]] = []

    def handle_starttag(self, tag, attrs):  # type: ignore[no-untyped-def]
        at = {name: value or "" for name, value in attrs}
        if tag == "a" and at.get("href"):
            self.links.append(at["href"])
        if tag == "form":
            method = at.get("method", "get").lower()
            self.open = Form(urlsplit(at.get("action") or self.path).path or self.path, method)
            self.forms.append(self.open)
            if "id" in at:
                self.by_id[at["id"]] = self.open
        elif tag in ("input", "select", "textarea", "button") and at.get("name") not in (
            None,
            "",
            "csrfmiddlewaretoken",
        ):
            if at.get("form"):
                self.late.append((tag, at["form"], at))
                self.select = None
                if tag == "select":
                    self.select = (Form("", ""), at["name"])
                    self.late[-1] = (tag, at["form"], {**at, "_": self.select[0]})  # type: ignore[dict-item]
            elif self.open is not None:
                self._control(self.open, tag, at)
        elif tag == "option" and self.select is not None:
            form, name = self.select
            form.offered.setdefault(name, []).append(at.get("value", ""))
            if "selected" in at:
                form.pairs.append((name, at.get("value", "")))

    def _control(self, form: Form, tag: str, at: dict[str, str]) -> None:
        name, kind = at["name"], at.get("type", "text")
        form.kinds[name] = _kind(tag, kind)
        if tag == "select":
            self.select = (form, name)
        elif tag == "textarea":
            self.text = (form, name, [])
        elif kind == "file":
            form.files.add(name)
        elif kind in ("checkbox", "radio"):
            form.offered.setdefault(name, []).append(at.get("value", "on"))
            if "checked" in at:
                form.pairs.append((name, at.get("value", "on")))
        elif tag == "button":
            form.offered.setdefault(name, []).append(at.get("value", ""))
        else:
            form.pairs.append((name, at.get("value", "")))

    def handle_data(self, data):  # type: ignore[no-untyped-def]
        if self.text is not None:
            self.text[2].append(data)

    def handle_endtag(self, tag):  # type: ignore[no-untyped-def]
        if tag == "form":
            self.open = None
        elif tag == "select":
            self.select = None
        elif tag == "textarea" and self.text is not None:
            form, name, parts = self.text
            form.pairs.append((name, "".join(parts).removeprefix("\n")))
            self.text = None

    def finish(self) -> None:
        for tag, form_id, at in self.late:
            form = self.by_id.get(form_id)
            if form is None:
                continue
            held = at.pop("_", None)
            if held is not None:
                form.kinds[at["name"]] = "choice"
                form.pairs += held.pairs  # type: ignore[attr-defined]
                for name, offered in held.offered.items():  # type: ignore[attr-defined]
                    form.offered.setdefault(name, []).extend(offered)
            elif tag != "textarea":
                self._control(form, tag, at)
            else:
                form.pairs.append((at["name"], ""))
                form.kinds[at["name"]] = "text"


def _kind(tag: str, kind: str) -> str:
    if tag in ("select", "button") or kind in ("checkbox", "radio"):
        return "choice"
    return kind if kind in ("hidden", "file") else "text"


def route_of(path: str) -> str:
    """The name of the route that answers a path, or nothing."""
    try:
        return resolve(path).view_name
    except Resolver404:
        return ""


def read_page(path: str, text: str) -> tuple[list[Form], dict[str, set[str]]]:
    """The forms of a page, and by route the parameters that its links and GET forms send."""
    reader = _Reader(urlsplit(path).path)
    reader.feed(text)
    reader.finish()
    parameters: dict[str, set[str]] = {}
    for href in reader.links:
        parts = urlsplit(href)
        if parts.netloc or (not parts.path and not parts.query):
            continue
        route = route_of(parts.path or reader.path)
        parameters.setdefault(route, set()).update(name for name, _ in parse_qsl(parts.query, keep_blank_values=True))
    for form in reader.forms:
        form.route = route_of(form.path)
        if form.method == "get":
            parameters.setdefault(form.route, set()).update(form.names)
    return [form for form in reader.forms if form.method == "post"], parameters


def different(forms: Iterable[Form]) -> Iterator[Form]:
    """One form of each route and shape."""
    seen = set()
    for form in forms:
        key = (form.route, form.shape)
        if form.route and key not in seen:
            seen.add(key)
            yield form


def names_asked_for(send: Callable[[], object]) -> set[str]:
    """The names of fields and parameters that a view looks for while it answers."""
    asked: set[str] = set()

    def noting(name: str) -> Any:
        usual = getattr(QueryDict, name)

        def noted(self: QueryDict, key: Any, *rest: Any) -> Any:
            if isinstance(key, str):
                asked.add(key)
            return usual(self, key, *rest)

        return patch.object(QueryDict, name, noted)

    with noting("__getitem__"), noting("get"), noting("getlist"), noting("__contains__"):
        send()
    return asked
