"""Hostile JSON at the door of the phone's queue: never a server error, nothing kept otherwise than it was sent."""

import json
from collections import Counter
from decimal import Decimal
from random import Random
from uuid import uuid4

import pytest

from programs.logs.models import ClientMessage, Departure, PhoneEntry, SessionLog, SetLog
from tests.factories.clients import ClientFactory
from tests.factories.links import with_link
from tests.factories.queue import item, post, sent
from tests.hostile.attack import taken_back
from tests.hostile.payloads import nested, values
from tests.hostile.stored import normalised

pytestmark = pytest.mark.django_db
# So many hostile values for each of `--inputs`: 3,000 in every run.
EACH = 20
OTHERS = (
    None, True, False, 0, -1, 1, 2, 1.0, 1.5, 10**40, -(10**400), 2**31, 2**63, 2**64, 1e308, [], {}, [[]], ["1"],
    [None],
    {"a": {"b": {}}}, "\ud800", "\udfff\ud800", "x" * 4_001, "1" * 100_000, "\x00", "8\x00",
)  # fmt: skip


def things(sheet):
    """One of every kind, right as it stands."""
    named = item(sheet, slot="1-2-1-b", load="70", reps="8", exercise=str(sheet.body["exercises"][0]["exercise"]))
    return [
        item(sheet, slot="1-1-1-b", load="70", reps="8", rir="2"), item(sheet, slot="3-1-1-l", reps="30"),
        item(sheet, "clear", slot="1-1-1-b", over="1"), item(sheet, "skip", place="2", why="no time"),
        {**named, "v": 2},
        item(sheet, "swap", position="1", exercise="1", why="pain"), item(sheet, "pain", pain="3"),
        item(sheet, "rating", rating="7", minutes="50"), item(sheet, "message", text="Fine."),
        item(sheet, "short", minutes="30", rest="60", left_out=["1-3-1-b"], pairs=["1-2"]),
    ]  # fmt: skip


def spoilt(thing, rng, hostile):
    """The thing with one to three of its values, names or parts hostile; gives it and how many."""
    thing, count = {**thing, "said": dict(thing["said"])}, rng.randint(1, 3)
    for _ in range(count):
        value = rng.choice(hostile)
        where = thing["said"] if rng.random() < 0.7 and isinstance(thing.get("said"), dict) else thing
        name = rng.choice([*where, rng.choice(["extra", "", "__proto__", "sure", "left_out", "v"])] if where else ["x"])
        if rng.random() < 0.1:
            where.pop(name, None)
        else:
            where[name] = value
    return thing, count


def misshapen(text, rng):
    """A body as no program writes it: cut, doubled, nested, with names of no number, or of half a sign."""
    at = rng.randrange(len(text))
    return rng.choice([
        text[:at], text[:at] + rng.choice(["\x00", '"', "NaN", "1e400", "{", "]", "\\ud800"]) + text[at:], text * 2,
        text.replace('"8"', nested(rng)), text.replace("1", "Infinity", 1), text.replace("{", '{"v": 1, ', 1),
        text.replace('"70"', "9" * 5_000), nested(rng), text[:-1] + " " * 300_000 + "}", "\ufeff" + text,
    ])  # fmt: skip


def number(text):
    return Decimal(text.strip().replace(",", "."))


def altered(things, answers):
    """What the desk says it saved and holds otherwise than it was sent."""
    found = []
    for thing, answer in zip(things, answers, strict=True):
        if answer["state"] != "saved":
            continue
        row, said = PhoneEntry.objects.get(key=thing["key"]), thing["said"]
        if row.sheet_id != thing["sheet"] or row.kind != thing["kind"]:
            found.append((thing, row.payload))
        if row.kind == "set" and not row.payload["over"]:
            done = SetLog.objects.get(
                position=said["slot"][0], side=said["slot"][6], set_no=said["slot"][2], step_no=said["slot"][4]
            )
            typed = [(said.get("reps"), done.reps), (said.get("rir"), done.rir)]
            typed += [(said.get("load"), done.load and Decimal(done.load) / 1000)] if done.rep_kind == "reps" else []
            found += [(t, str(kept)) for t, kept in typed if t and t.strip() and (kept is None or number(t) != kept)]
        if row.kind == "message" and ClientMessage.objects.latest("id").text != normalised(said["text"]):
            found.append((said, "message"))
        if row.kind == "skip" and not said.get("back"):
            why = normalised(said.get("quick", "")) or normalised(said.get("why", ""))
            rows = Departure.objects.filter(why=why), SessionLog.objects.filter(skipped_why=why)
            if not any(one.exists() for one in rows):
                found.append((said, "skip"))
    return found


def attacked(browser, linked, handed, rng, tally):
    """One request: a few spoilt things, or a body of no shape."""
    hostile = (*values([str(handed.pk + 1), "7"]), *OTHERS)
    mine = [spoilt(thing, rng, hostile) for thing in rng.sample(things(handed), rng.randint(1, 4))]
    sent, whole = [thing for thing, _ in mine], {"v": 1, "whose": linked.uid.hex}
    text, shaped = json.dumps({**whole, "items": sent}), rng.random() < 0.85
    answer = post(browser, text if shaped else misshapen(text, rng))
    tally["inputs"] += sum(count for _, count in mine) if shaped else 1
    tally[answer.status_code] += 1
    if answer.status_code == 200 and shaped:
        states = [one["state"] for one in answer.json()["items"]]
        tally.update(states)
        keys = Counter(str(thing.get("key")) for thing in sent)
        return altered(sent, answer.json()["items"]) if max(keys.values()) == 1 else []
    return [] if answer.status_code in (200, 422) else [(text[:2_000], answer.status_code)]


def test_no_kind_of_thing_reaches_another_clients_sheet(as_client, linked, handed, desk):
    stranger = ClientFactory(coach=desk)
    browser, mine = with_link(stranger), [one for one in things(handed) if one["sheet"]]
    theirs = sent(browser, stranger, *mine)
    missing = sent(browser, stranger, *({**one, "key": uuid4().hex, "sheet": 10**15} for one in mine))
    assert {(one["state"], one["words"]) for one in theirs} == {(one["state"], one["words"]) for one in missing}
    assert {one["state"] for one in theirs} == {"refused"}
    assert not PhoneEntry.objects.exists()


def test_hostile_bodies_meet_no_error_and_nothing_is_kept_otherwise(as_client, linked, handed, pytestconfig):
    as_client.raise_request_exception = False
    rng, tally, wrong = Random(pytestconfig.getoption("seed")), Counter(), []
    while tally["inputs"] < pytestconfig.getoption("inputs") * EACH:
        wrong += taken_back(as_client, lambda: attacked(as_client, linked, handed, rng, tally))
    print(dict(tally))
    assert not wrong
    # Some were good enough to be kept, or the attack tries nothing but the first check.
    assert min(tally["saved"], tally["refused"], tally["unknown"], tally[422]) > 10, tally
