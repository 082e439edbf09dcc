"""Reading clients and their tested lifts from a file: seen first, then all of it or nothing."""

import io
from datetime import date, datetime
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser

from clients.models import Client
from coachdesk.practice.models import Act, Membership
from coachdesk.practice.tape import undo
from programs.intake import columns, reading
from programs.intake.plan import Plan, make_plan
from programs.intake.reading import NoTableError, decode, read_table
from programs.intake.services import import_clients
from programs.models import Exercise, StrengthEstimate, StrengthObservation
from tests.factories.clients import ClientFactory, PlaceFactory
from tests.factories.practice import MembershipFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("library")]

TODAY = date(2026, 11, 24)
HEAD = "name,goal,level,days_per_week,unit,exercise,load,load_unit,reps,side,tested_on,notes"
ROSA = "Rosa,size,novice,3,kg,Back squat,90,,5,,2026-11-02,\nRosa,,,,,bench_press,52.5,,6,,,\n"


def plan_of(text: str, by: Membership) -> Plan:
    return make_plan(read_table(text), by=by, today=TODAY)


def errors_of(text: str, by: Membership) -> list[tuple[int, str, str, str]]:
    return [(e.line, e.column, e.value, e.reason) for e in plan_of(text, by).errors]


def upload(browser: Browser, data: bytes, name: str = "clients.csv") -> Any:
    return browser.post("/clients/import/", {"file": SimpleUploadedFile(name, data)})


def confirm(browser: Browser, answer: Any) -> Any:
    form = answer.context["confirm"]
    return browser.post("/clients/import/", {name: form[name].value() for name in form.fields})


def test_a_file_is_shown_first_and_read_in_after_without_another_upload(desk: Membership, as_coach: Browser) -> None:
    shown = upload(as_coach, f"{HEAD}\n{ROSA}".encode())
    assert shown.status_code == 200
    assert "Import 1 new client and 2 lifts" in shown.content.decode()
    assert not Client.objects.exists()
    done = confirm(as_coach, shown)
    assert (done.status_code, done["Location"]) == (302, "/clients/")
    rosa = Client.objects.get()
    assert (rosa.name, rosa.coach, rosa.goal, rosa.level, rosa.days_per_week) == ("Rosa", desk, "size", "novice", 3)
    lifts = StrengthObservation.objects.order_by("exercise__code").values_list(
        "exercise__code", "load", "unit", "reps", "is_test", "rir"
    )
    assert list(lifts) == [("back_squat", 90_000, "kg", 5, True, 0.0), ("bench_press", 52_500, "kg", 6, True, 0.0)]
    assert StrengthEstimate.objects.filter(client=rosa).count() == 2


def test_reading_in_is_one_act_and_undo_takes_all_of_it_back(desk: Membership, now: datetime) -> None:
    here = ClientFactory(coach=desk, name="Tom")
    text = f"{HEAD}\n{ROSA}Tom,,,,,Deadlift,100,,3,,,\n"
    import_clients(by=desk, plan=plan_of(text, desk), now=now)
    act = Act.objects.get()
    assert act.label == "Import 1 new clients and 3 lifts from a CSV file"
    undo(act, by=desk)
    assert list(Client.objects.all()) == [here]
    assert not StrengthObservation.objects.exists()
    assert not StrengthEstimate.objects.exists()


def test_a_client_who_is_here_gains_lifts_and_keeps_the_profile(desk: Membership, now: datetime) -> None:
    here = ClientFactory(coach=desk, name="RÓSA", goal="rehab")
    plan = plan_of(f"{HEAD}\n{ROSA}", desk)
    assert (len(plan.new), len(plan.found), plan.lift_count) == (0, 1, 2)
    import_clients(by=desk, plan=plan, now=now)
    here.refresh_from_db()
    assert (here.goal, here.name) == ("rehab", "RÓSA")
    assert here.strength_observations.count() == 2


def test_reading_the_same_file_twice_adds_nothing(desk: Membership, now: datetime) -> None:
    text = f"{HEAD}\n{ROSA}"
    import_clients(by=desk, plan=plan_of(text, desk), now=now)
    again = plan_of(text, desk)
    assert (len(again.new), again.lift_count, again.known_count) == (0, 0, 2)
    import_clients(by=desk, plan=again, now=now)
    assert (Client.objects.count(), StrengthObservation.objects.count()) == (1, 2)


def test_a_colleagues_client_of_that_name_is_somebody_else(desk: Membership) -> None:
    ClientFactory(coach=MembershipFactory(practice=desk.practice), name="Rosa")
    assert len(plan_of(f"{HEAD}\n{ROSA}", desk).new) == 1


@pytest.mark.parametrize(
    ("text", "line", "column", "value", "said"),
    [
        (",,,,,,,,,,,note", 2, "name", "", "is blank"),
        ("...,,,,,,,,,,,", 2, "name", "...", "holds no letter"),
        ("x" * 121 + ",,,,,,,,,,,", 2, "name", "x" * 40 + "...", "121 characters"),
        ("Rosa,power,,,,,,,,,,", 2, "goal", "power", "is not one of size, strength, health, rehab"),
        ("Rosa,,expert,,,,,,,,,", 2, "level", "expert", "is not one of novice, intermediate, advanced"),
        ("Rosa,,,8,,,,,,,,", 2, "days_per_week", "8", "from 1 to 7"),
        ("Rosa,,,0,,,,,,,,", 2, "days_per_week", "0", "from 1 to 7"),
        ("Rosa,,,NaN,,,,,,,,", 2, "days_per_week", "NaN", "from 1 to 7"),
        ("Rosa,,,,stone,,,,,,,", 2, "unit", "stone", "is not one of kg, lb"),
        ("Rosa,,,,,Bench pres,80,,5,,,", 2, "exercise", "Bench pres", "closest are Bench press"),
        ("Rosa,,,,,qqqq,80,,5,,,", 2, "exercise", "qqqq", "not in the exercise library"),
        ("Rosa,,,,,Plank,80,,5,,,", 2, "exercise", "Plank", "counted in seconds"),
        ("Rosa,,,,,Bench press,0,,5,,,", 2, "load", "0", "is not above 0"),
        ("Rosa,,,,,Bench press,-5,,5,,,", 2, "load", "-5", "is no load in kg"),
        ("Rosa,,,,,Bench press,NaN,,5,,,", 2, "load", "NaN", "is no load in kg"),
        ("Rosa,,,,,Bench press,1e400,,5,,,", 2, "load", "1e400", "is no load in kg"),
        ("Rosa,,,,lb,Bench press,999999,,5,,,", 2, "load", "999999", "is no load in lb"),
        ("Rosa,,,,,Bench press,80,,1000,,,", 2, "reps", "1000", "from 1 to 30"),
        ("Rosa,,,,,Bench press,80,,0,,,", 2, "reps", "0", "from 1 to 30"),
        ("Rosa,,,,,Bench press,80,,,,,", 2, "reps", "", "is blank"),
        ("Rosa,,,,,,80,,5,,,", 2, "exercise", "", "is blank"),
        ("Rosa,,,,,Bench press,80,stone,5,,,", 2, "load_unit", "stone", "is not one of kg, lb"),
        ("Rosa,,,,,Bench press,80,,5,up,,", 2, "side", "up", "is not one of both, left, right"),
        ("Rosa,,,,,Bench press,80,,5,,2026-02-30,", 2, "tested_on", "2026-02-30", "does not exist"),
        ("Rosa,,,,,Bench press,80,,5,,2099-01-01,", 2, "tested_on", "2099-01-01", "to 2026-11-24"),
        ("Rosa,,,,,Bench press,80,,5,,11/02/2026,", 2, "tested_on", "11/02/2026", "write it like 1984-03-31"),
        ("Ro\x00sa,,,,,,,,,,,", 2, "name", "Ro\ufffdsa", "NUL character"),
        ("Rosa,,,,,,,,,,,a" + "\u0335" * 3_000, 2, "notes", "a", "piles 3000 combining marks"),
        ("Rosa,,,,,,,,,,,a" + "\u0335" * 10_000, 2, "notes", "a", "10,001 characters"),
        ("Rosa,,,,,,,,,,,," + "extra", 2, "", "extra", "one cell too many"),
        ("Rosa,size,,,,,,,,,,\nRosa,rehab,,,,,,,,,,", 3, "goal", "rehab", "differs from line 2"),
        ("Rosa,,,,,Deadlift,80,,5,,,\nRosa,,,,,deadlift,80,,5,,,", 3, "exercise", "deadlift", "repeats line 2"),
        ("Rosa,,,,,,,,,,,\"two\nlines\"\nTom,,,9,,,,,,,,", 4, "days_per_week", "9", "from 1 to 7"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_by_line_column_value_and_reason(
    desk: Membership, text: str, line: int, column: str, value: str, said: str
) -> None:
    found = errors_of(f"{HEAD}\n{text}\n", desk)
    assert len(found) == 1
    assert found[0][:2] == (line, column)
    assert found[0][2].startswith(value)
    assert said in found[0][3]


def test_every_error_is_listed_at_once_and_nothing_is_kept(desk: Membership, as_coach: Browser) -> None:
    rows = "".join(f"Client {n},,,{n},,,,,,,,\n" for n in range(10, 310))
    answer = upload(as_coach, f"{HEAD}\nGood,,,3,,,,,,,,\n{rows}".encode())
    assert answer.status_code == 422
    assert answer.context["error_count"] == 300
    page = answer.content.decode()
    assert "The first 200 of 300" in page
    assert "is not a whole number from 1 to 7" in page
    assert not Client.objects.exists()


@pytest.mark.parametrize(
    ("codec", "mark", "words"),
    [
        ("utf-8", b"", "UTF-8"),
        ("utf-8", b"\xef\xbb\xbf", "UTF-8"),
        ("utf-16-le", b"\xff\xfe", "UTF-16"),
        ("utf-16-be", b"\xfe\xff", "UTF-16"),
        ("utf-16-le", b"", "UTF-16"),
        ("utf-16-be", b"", "UTF-16"),
        ("cp1252", b"", "Windows-1252"),
    ],
)
@pytest.mark.parametrize(("delimiter", "said"), [(",", "commas"), (";", "semicolons"), ("\t", "tabs")])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_every_usual_way_of_saving_a_table_is_read(
    desk: Membership, codec: str, mark: bytes, words: str, delimiter: str, said: str, end: str
) -> None:
    load = "52.5" if delimiter == "," else "52,5"
    lines = (("name", "exercise", "load", "reps"), ("Zoë Ström", "Bench press", load, "5"))
    data = mark + end.join(delimiter.join(line) for line in lines).encode(codec)
    text, encoding = decode(data)
    table = read_table(text, encoding)
    assert (table.encoding, table.delimiter) == (words, said)
    plan = make_plan(table, by=desk, today=TODAY)
    assert plan.errors == ()
    assert (plan.people[0].name, plan.people[0].lifts[0].load) == ("Zoë Ström", 52_500)


def test_a_quoted_decimal_comma_is_a_decimal_comma(desk: Membership) -> None:
    plan = plan_of('name,exercise,load,reps\nRosa,Bench press,"52,5",5\n', desk)
    assert plan.people[0].lifts[0].load == 52_500


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "empty"),
        (b"\n\n\n", "no column 'name'"),
        (b"name\n", "no rows"),
        (b"client\nRosa\n", "no column 'name'"),
        (b"name,colour\nRosa,red\n", "is 'colour'; the columns are: name"),
        (b"name,,goal\nRosa,,size\n", "heading of column 2 is blank"),
        (b"name,Name\nRosa,Rosa\n", "there twice"),
        (b'name,notes\nRosa,"never closed\nTom,x\n', "cannot be read as CSV"),
        (b"name,notes\nRosa," + b"x" * 200_000 + b"\n", "cannot be read as CSV"),
        (b"PK\x03\x04rest of a workbook", "workbook"),
        (b"name\nRos\x81a\n", "Line 2"),
        (b"\xff\xfen\x00a", "Line 1 holds bytes"),
        (b"\xff\xfe\x00\xd8\x00", "UTF-16"),
        (bytes(range(256)) * 20, "Line 2 holds bytes"),
        (b"name\n" + b"Rosa\n" * 20_001, "more than 20,000 rows"),
        (b"name\n" + b"x" * (10 * 1024 * 1024), "10.0 MB; at most 5 MB"),
    ],
    ids=range(16),
)
def test_a_file_that_is_no_such_table_is_refused_in_words(as_coach: Browser, data: bytes, said: str) -> None:
    answer = upload(as_coach, data)
    assert answer.status_code == 422
    assert answer.context["form"].errors
    assert said in answer.content.decode().replace("&#x27;", "'")


def test_no_file_at_all_is_an_error_at_the_field(as_coach: Browser) -> None:
    answer = as_coach.post("/clients/import/", {})
    assert answer.status_code == 422
    assert "No file is chosen" in answer.content.decode()


def test_text_that_looks_like_a_formula_is_text(desk: Membership, now: datetime) -> None:
    plan = plan_of("name,notes\n=cmd|'/c calc'!A1,+1+1\n@SUM(A1),-2\n", desk)
    import_clients(by=desk, plan=plan, now=now)
    kept = list(Client.objects.order_by("id").values_list("name", "notes"))
    assert kept == [("=cmd|'/c calc'!A1", "+1+1"), ("@SUM(A1)", "-2")]


def test_markup_is_shown_as_text(as_coach: Browser) -> None:
    page = upload(as_coach, b"name,notes\n<script>alert(1)</script>,\n").content.decode()
    assert "<script>alert" not in page
    page = upload(as_coach, b"name,goal\nRosa,<script>alert(1)</script>\n", "<script>.csv").content.decode()
    assert "<script>alert" not in page


def test_places_and_coaches_are_found_by_name_and_address(desk: Membership, owner: Membership) -> None:
    place = PlaceFactory(practice=desk.practice, name="Full gym")
    PlaceFactory(name="Elsewhere")
    text = f"name,coach,place\nRosa,{desk.user.email.upper()},FULL GYM\n"
    fields = plan_of(text, owner).people[0].fields
    assert (fields["coach"], fields["place"]) == (desk, place)
    assert "only the owner" in errors_of(f"name,coach\nRosa,{owner.user.email}\n", desk)[0][3]
    assert "there is: Full gym" in errors_of("name,place\nRosa,Elsewhere\n", desk)[0][3]
    assert "is not the address" in errors_of("name,coach\nRosa,nobody@example.org\n", desk)[0][3]


def test_two_clients_of_one_name_are_not_guessed_between(desk: Membership) -> None:
    ClientFactory(coach=desk, name="Rosa")
    ClientFactory(coach=desk, name="rosa")
    assert "could be any of 2 clients" in errors_of(f"{HEAD}\n{ROSA}", desk)[0][3]


def test_left_and_right_and_two_units_stay_apart(desk: Membership, now: datetime) -> None:
    text = (
        "name,unit,exercise,load,load_unit,reps,side\nRosa,lb,One-arm dumbbell row,50,,8,left\n"
        "Rosa,,One-arm dumbbell row,24,kg,8,R\n"
    )
    import_clients(by=desk, plan=plan_of(text, desk), now=now)
    kept = StrengthObservation.objects.order_by("id").values_list("load", "unit", "side")
    assert list(kept) == [(50_000, "lb", "l"), (24_000, "kg", "r")]


def test_the_desk_changed_between_looking_and_reading_in(desk: Membership, as_coach: Browser) -> None:
    shown = upload(as_coach, f"{HEAD}\n{ROSA}".encode())
    ClientFactory(coach=desk, name="Rosa")
    answer = confirm(as_coach, shown)
    assert answer.status_code == 409
    assert "The desk changed since this page was shown" in answer.content.decode()
    assert Client.objects.count() == 1
    assert confirm(as_coach, answer).status_code == 302
    assert Client.objects.get().strength_observations.count() == 2


def test_pressing_twice_reads_in_once(as_coach: Browser) -> None:
    shown = upload(as_coach, f"{HEAD}\n{ROSA}".encode())
    assert confirm(as_coach, shown).status_code == 302
    assert confirm(as_coach, shown).status_code == 409
    assert (Client.objects.count(), StrengthObservation.objects.count()) == (1, 2)


def test_a_failure_half_way_leaves_nothing(desk: Membership, now: datetime, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*args: Any, **kwargs: Any) -> None:
        raise RuntimeError("statement failed")

    monkeypatch.setattr("programs.intake.services.refresh_estimates", fail)
    with pytest.raises(RuntimeError):
        import_clients(by=desk, plan=plan_of(f"{HEAD}\nTom,,,,,,,,,,,\n{ROSA}", desk), now=now)
    assert not Client.objects.exists()
    assert not Act.objects.exists()


@pytest.mark.parametrize("packed", ["", "x", "AAAA", "é", "%00", "eJw=" * 9])
def test_a_damaged_page_is_told_so(as_coach: Browser, packed: str) -> None:
    data = {"packed": packed, "encoding": "UTF-8", "source": "x", "digest": "y"}
    answer = as_coach.post("/clients/import/", data)
    assert answer.status_code == 422
    assert "choose the file again" in answer.content.decode()


def test_a_page_that_unpacks_to_more_than_a_file_may_hold_is_refused() -> None:
    with pytest.raises(NoTableError, match="damaged"):
        reading.unpack(reading.pack("x" * (3 * columns.MOST_BYTES + 1)))
    assert reading.unpack(reading.pack("name\nZoë")) == "name\nZoë"


def test_the_example_file_is_read_without_a_word_of_complaint(desk: Membership, as_coach: Browser) -> None:
    example = as_coach.get("/clients/import/example.csv")
    assert example["Content-Type"].startswith("text/csv")
    text, _encoding = decode(example.content)
    plan = plan_of(text, desk)
    assert plan.errors == ()
    assert (len(plan.new), plan.lift_count) == (2, 4)
    assert all(len(line.split(",")) == len(columns.NAMES) for line in text.strip().splitlines())


def test_the_page_lists_every_column(as_coach: Browser) -> None:
    page = as_coach.get("/clients/import/").content.decode()
    for column in columns.NAMES:
        assert f">{column}<" in page


def test_assistants_may_not_import_and_strangers_sign_in_first(as_assistant: Browser, anonymous: Browser) -> None:
    assert as_assistant.get("/clients/import/").status_code == 403
    assert upload(as_assistant, f"{HEAD}\n{ROSA}".encode()).status_code == 403
    assert anonymous.get("/clients/import/").status_code == 302
    assert not Client.objects.exists()


def test_a_large_file_is_planned_with_few_queries(desk: Membership, django_assert_max_num_queries) -> None:
    rows = io.StringIO()
    for n in range(2_000):
        rows.write(f"Client {n},,,3,kg,Bench press,{50 + n % 40},,5,,2026-11-02,\n")
    with django_assert_max_num_queries(8):
        plan = plan_of(f"{HEAD}\n{rows.getvalue()}", desk)
    assert (plan.errors, len(plan.new), plan.lift_count) == ((), 2_000, 2_000)
    assert Exercise.objects.filter(code="bench_press").exists()
