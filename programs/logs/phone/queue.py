"""What a phone kept while it had no signal: read strictly, written in the order it was said, answered thing by thing.

A request is `{"v": 1, "whose": <the client's uid>, "items": [...]}`; an item is `{"v": 1, "key": <32 hex signs>,
"sheet": 7 or null, "kind": "set", "ago_s": 90, "said": {...}}`, where `said` holds the fields of the plain form of
that kind, as text. The answer has one entry for each item, in the same order: `saved`; `aside`, kept for the coach
beside what stood there; `refused`, with words; `unknown`, from a newer page than this desk: the phone keeps it. What
is known already is answered as it was the first time.
"""

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.http import HttpRequest, QueryDict

from clients.models import Client
from coachdesk.practice.doors import BIGGEST_ID
from programs.logs.models import PhoneEntry
from programs.logs.phone.forms import entry_form
from programs.logs.phone.selectors.today import sheets_of
from programs.logs.phone.services import REUSED, entry_under, record_entry
from programs.logs.services.replays import KeyReused
from programs.models import IssuedSheet

# Of a request, and of its items: from 2 on a set names its exercise.
VERSION, NEWEST = 1, 2
MOST_BYTES, MOST_ITEMS, MOST_TEXT, MOST_LIST, MOST_SECONDS = 256_000, 20, 4_000, 400, 2**53
HEADER = "X-Phone"
SAID = {
    "set": {"slot", "load", "reps", "rir", "over", "sure"}, "clear": {"slot", "over"},
    "skip": {"place", "quick", "why", "back"}, "swap": {"position", "exercise", "why"},
    "pain": {"position", "pain", "over"}, "rating": {"rating", "minutes", "over"}, "message": {"text"},
    "short": {"minutes", "rest", "left_out", "pairs", "drops"},
}  # fmt: skip
SINCE_2 = {"set": {"exercise"}}
# What is never left to be guessed: without its place a reason would leave out the whole session.
NEEDED = {"set": {"slot"}, "clear": {"slot", "over"}, "skip": {"place"}, "swap": {"position"}, "short": {"minutes"}}
LISTS = {"left_out", "pairs", "drops"}
ITEM = {"v", "key", "sheet", "kind", "ago_s", "said"}
_KEY = re.compile(r"[0-9a-f]{32}")
NEWER = "The desk does not know this yet; it stays on this phone until it does."
GONE = "The session was taken away meanwhile; ask your coach."
UNREADABLE = "The desk cannot read this."


class NotAQueue(Exception):
    """The request as a whole is none; nothing was written. `status`: 403 from another site, 409 for another's, 422."""

    def __init__(self, words: str, status: int = 422) -> None:
        super().__init__(words)
        self.words, self.status = words, status


class _BadItem(Exception):
    pass


@dataclass(frozen=True)
class Item:
    """One thing said: under its key, of a sheet or of none, so many seconds before it was sent."""

    key: UUID
    sheet: int | None
    kind: str
    ago_s: int
    said: Mapping[str, str | list[str]]

    @property
    def digest(self) -> str:
        """SHA-256 of everything in it but when it was sent."""
        return hashlib.sha256(json.dumps([self.sheet, self.kind, self.said], sort_keys=True).encode()).hexdigest()

    @property
    def fields(self) -> QueryDict:
        """As its plain form would have sent it."""
        data = QueryDict(mutable=True)
        data.update({"kind": self.kind, "key": self.key.hex, "ago": str(self.ago_s)})
        for name, value in self.said.items():
            data.setlist(name, value if isinstance(value, list) else [value])
        return data


@dataclass(frozen=True)
class Answer:
    """What became of one item. `asks`: what `sure` must hold for it to be kept after all."""

    key: str
    state: str
    words: str = ""
    asks: str = ""


def queue_sent(request: HttpRequest, client: Client) -> list[Any]:
    """The items of a request, each still to be read. Raises NotAQueue.

    No token is asked for, because a page may have waited for days and its token with it. A page of another site can
    send neither this content type nor this header without asking first, which the desk never grants; nor does the
    link's cookie go with what another site posts. Where the browser says where a request came from, that counts too.
    """
    if request.content_type != "application/json":
        raise NotAQueue("Send JSON.")
    origins, sites = ("", f"{request.scheme}://{request.get_host()}"), ("", "same-origin")
    here = request.headers.get("Origin", "") in origins and request.headers.get("Sec-Fetch-Site", "") in sites
    if HEADER not in request.headers or not here:
        raise NotAQueue("This came from another site.", 403)
    length = request.headers.get("Content-Length") or "0"
    if not length.isdigit() or int(length[:12]) > MOST_BYTES or len(request.body) > MOST_BYTES:
        raise NotAQueue(f"Send at most {MOST_BYTES} bytes at once.")
    return _items(_read(request.body), client)


def _read(body: bytes) -> Any:
    try:
        return json.loads(body.decode(), object_pairs_hook=_once, parse_constant=_no_number)
    except (ValueError, RecursionError):
        raise NotAQueue("This is no JSON that the desk can read.") from None


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        raise ValueError("a name stands twice")
    return found


def _no_number(name: str) -> Any:
    raise ValueError(f"{name} is no number")


def _items(sent: Any, client: Client) -> list[Any]:
    if not isinstance(sent, dict) or set(sent) != {"v", "whose", "items"} or not _whole(sent["v"]):
        raise NotAQueue(UNREADABLE)
    if sent["v"] != VERSION:
        raise NotAQueue(NEWER)
    if sent["whose"] != client.uid.hex:
        # Two clients opened their links in this browser, one after the other.
        raise NotAQueue("This was said under another link; open that link again to send it.", 409)
    items = sent["items"]
    if not isinstance(items, list) or not 0 < len(items) <= MOST_ITEMS:
        raise NotAQueue(f"Send 1 to {MOST_ITEMS} things at once.")
    return items


def keep_queue(*, client: Client, items: list[Any], now: datetime) -> list[dict[str, str]]:
    """Write the items in turn and answer for each; one that is refused holds up none that follows."""
    return [asdict(_kept(client, raw, now)) for raw in items]


def _kept(client: Client, raw: Any, now: datetime) -> Answer:
    key = raw["key"] if isinstance(raw, dict) and _is_key(raw.get("key")) else ""
    if isinstance(raw, dict) and _is_newer(raw):
        return Answer(key, "unknown", NEWER)
    try:
        return _written(client, _item(raw), now)
    except _BadItem:
        return Answer(key, "refused", UNREADABLE)


def _is_newer(raw: Mapping[str, Any]) -> bool:
    kind = raw.get("kind")
    newer = _whole(raw.get("v")) and raw["v"] > NEWEST
    return newer or (isinstance(kind, str) and _is_known(raw.get("v")) and kind not in SAID)


def _is_known(version: Any) -> bool:
    """A phone keeps items for 180 days, so those of an older page are read for as long."""
    return _whole(version) and VERSION <= version <= NEWEST


def _item(raw: Any) -> Item:
    if not isinstance(raw, dict) or set(raw) != ITEM or not _is_known(raw["v"]):
        raise _BadItem
    key, sheet, kind, ago_s, said = (raw[name] for name in ("key", "sheet", "kind", "ago_s", "said"))
    whole = (sheet is None or _whole(sheet)) and _whole(ago_s) and abs(ago_s) < MOST_SECONDS
    if not (_is_key(key) and whole and isinstance(kind, str) and isinstance(said, dict)):
        raise _BadItem
    if not set(said) <= SAID[kind] | (SINCE_2.get(kind, set()) if raw["v"] > 1 else set()):
        raise _BadItem
    if not set(said) >= NEEDED.get(kind, set()):
        raise _BadItem
    if not all(_is_list(value) if name in LISTS else _is_text(value) for name, value in said.items()):
        raise _BadItem
    return Item(UUID(key), sheet, kind, ago_s, said)


def _whole(value: Any) -> bool:
    return type(value) is int


def _is_key(value: Any) -> bool:
    return isinstance(value, str) and _KEY.fullmatch(value) is not None


def _is_text(value: Any) -> bool:
    """Text that a database can hold: half of a sign in two parts is none."""
    return isinstance(value, str) and len(value) <= MOST_TEXT and not re.search(r"[\x00\ud800-\udfff]", value)


def _is_list(value: Any) -> bool:
    return isinstance(value, list) and len(value) <= MOST_LIST and all(_is_text(one) for one in value)


def _written(client: Client, item: Item, now: datetime) -> Answer:
    first = entry_under(client, item.key)
    if first is not None and first.sent:
        return _answer(first) if first.sent == item.digest else Answer(item.key.hex, "refused", REUSED)
    sheet = _sheet(client, item.sheet)
    if sheet is None and item.sheet is not None:
        return Answer(item.key.hex, "refused", GONE)
    form = entry_form(item.fields, sheet)
    if not form.is_valid():
        return Answer(item.key.hex, "refused", form.words or UNREADABLE, form.asks)
    try:
        return _answer(record_entry(
            client=client, sheet=sheet, key=item.key, entry=form.entry, now=now, ago_s=item.ago_s, sent=item.digest
        ))  # fmt: skip
    except KeyReused as reused:
        return Answer(item.key.hex, "refused", str(reused))
    except ValidationError as refusal:
        return Answer(item.key.hex, "refused", " ".join(refusal.messages))


def _sheet(client: Client, pk: int | None) -> IssuedSheet | None:
    found = sheets_of(client).filter(pk=pk).first() if pk is not None and 0 < pk <= BIGGEST_ID else None
    if found is not None:
        found.client = client
    return found


def _answer(row: PhoneEntry) -> Answer:
    return Answer(row.key.hex, "aside" if row.aside else "saved", row.aside)
