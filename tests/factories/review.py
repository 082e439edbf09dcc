"""The pages on which a coach looks at what was logged, for tests that ask all of them."""

import re
from html import unescape

from django.test import Client as Browser
from django.urls import reverse

from clients.models import Client
from programs.logs.models import SessionLog
from programs.models import Block, Program

# What a page says wherever something went wrong with a number.
NONSENSE = re.compile(r"\b(nan|NaN|inf|Infinity|Traceback|None (kg|lb|x|sets|%))\b")


def review_pages(client: Client, *, template: Program, log: SessionLog | None = None) -> dict[str, str]:
    """Name -> address of every page that shows a client's logs, alone or among others."""
    pages = {
        "roster": reverse("logs:roster"),
        "muscles": reverse("logs:muscle_list"),
        "programme's clients": reverse("logs:program_client_list", args=[template.pk]),
        "client": reverse("clients:client_detail", args=[client.pk]),
        "sessions": reverse("logs:client_sessions", args=[client.pk]),
        "trends": reverse("logs:client_trends", args=[client.pk]),
        "blocks": reverse("logs:client_blocks", args=[client.pk]),
        "next week": reverse("logs:client_next_week", args=[client.pk]),
        "effort": reverse("logs:client_effort", args=[client.pk]),
        "calendar": reverse("programs:client_calendar", args=[client.pk]),
    }  # fmt: skip
    for block in Block.objects.filter(program__client=client).order_by("id")[:1]:
        pages["report"] = reverse("logs:block_report", args=[block.pk])
        pages["programme"] = reverse("programs:program_detail", args=[block.program_id])
    if log is not None:
        pages["session log"] = reverse("logs:session_log_detail", args=[log.pk])
    return pages


def words_of(answer: object) -> str:
    """What a reader sees of a page: no tags, scripts or templates, one blank between words."""
    page = answer.content.decode()  # type: ignore[attr-defined]
    page = re.sub(r"<(script|style|template)\b.*?</\1>", " ", page.split("</head>")[-1], flags=re.S)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def all_words(browser: Browser, pages: dict[str, str]) -> dict[str, str]:
    """What each page says; each answers 200 and says nothing that is no word."""
    found = {}
    for name, url in pages.items():
        answer = browser.get(url)
        assert answer.status_code == 200, (name, answer.status_code)
        found[name] = words_of(answer)
        assert not NONSENSE.search(found[name]), (name, NONSENSE.search(found[name]))
    return found
