"""The issued sheet as PDF: every number of its body on one tagged side, whatever is written into it."""

from datetime import date

import pytest
from django.urls import reverse

from coachdesk import engine
from programs.models import IssuedSheet
from programs.paper import pdf
from programs.paper.density import AREA
from programs.paper.glyphs import BOX, covered, printable
from programs.paper.pages import page_of
from programs.paper.pdf import sheets_pdf
from programs.services import issue_sheet
from programs.sheet_words import last_words, missed_words
from tests.factories.programs import (
    scheme_json,
)
from tests.programs.paper.reading import millimetres, reader, squeezed, tags, words_of

pytestmark = pytest.mark.django_db
# ISO 216 and ANSI/ASME Y14.1 (8.5 x 11 in).
SIZES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
HOSTILE = [
    '#panic("x") #import "@preview/cetz:0.3.0" $x^2$ *bold* _it_ @ref <label> = head',
    "- list + enum / term: x \\ `raw` ```block``` // comment /* more */ #{ } [ ] ~ -- ---",
    '"double" \'single\' \\u{0041} \\" %PDF ) ( << >> endobj',
    '../../../etc/passwd #read("/etc/passwd") #json(bytes(sys.inputs.data))',
]


def made_of(*sheets: IssuedSheet, paper: str = "a4") -> bytes:
    return sheets_pdf([page_of(one, "Practice", paper) for one in sheets], title="Sheets", paper=paper)


def longer(sheet: IssuedSheet, lifts: int, steps: int) -> IssuedSheet:
    """The same sheet with so many lifts of so many straight sets."""
    one = sheet.body["exercises"][0]
    step = one["steps"][0]
    rows = [{**step, "set": n} for n in range(1, steps + 1)]
    sheet.body["exercises"] = [{**one, "position": n, "steps": rows} for n in range(1, lifts + 1)]
    return sheet


@pytest.mark.parametrize("paper", SIZES)
def test_a_sheet_is_one_tagged_side_of_the_paper_asked_for(as_coach, sheet, paper):
    answer = as_coach.get(reverse("programs:sheet_pdf", args=[sheet.pk]), {"paper": paper})
    assert answer["Content-Type"] == "application/pdf"
    root = reader(answer.content).trailer["/Root"]
    assert len(reader(answer.content).pages) == 1
    assert millimetres(answer.content) == {SIZES[paper]}
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en-GB"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert reader(answer.content).metadata.title == "Upper A, Mon 23 Nov 2026, Zoë Łukasik"
    # ISO 14289-1, 5: the conformance is said in the metadata; typst refuses to write it when its own checks fail.
    assert b"pdfuaid:part" in root["/Metadata"].get_data()


def test_rows_headers_headings_and_pictures_are_tagged(sheet):
    found = tags(made_of(sheet))
    kinds = [kind for kind, _ in found]
    assert kinds.count("/Table") == 2
    assert kinds.count("/TH") == 20
    assert kinds.count("/H1") == 1
    assert kinds.count("/H2") == 2
    # The picture's words come from the sheet's own steps: set kinds, shares of the maximum, minutes, strength left.
    (straight, drops) = [alt for kind, alt in found if kind == "/Figure"]
    assert straight.startswith("3 sets at 75 % of 1RM, ")
    assert drops.startswith("2 sets, up to 3 steps in a set at 50 to 80 % of 1RM, ")
    assert drops.endswith("of strength left at the end.")


def test_every_number_and_word_of_the_body_is_on_the_paper(sheet):
    words = words_of(made_of(sheet))
    body = sheet.body
    head = [body["client"], body["title"], body["place"], *body["cautions"], *body["stops"]]
    missing = [text for text in head if squeezed(text) not in words]
    for lift in body["exercises"]:
        told = [lift["name"], lift["cue"], *lift["notes"], last_words(lift["last"]), missed_words(lift["if_missed"])]
        for one in lift["warmups"]:
            told.append(f"{engine.format_load(one['load'])} {one['unit']} x {one['reps']}")
        for step in lift["steps"]:
            told += [engine.format_load(step["load"]), step["setup"]]
        missing += [text for text in told if squeezed(text) not in words]
    assert not missing
    assert "drop1" in words
    assert "pauseonthechest" in words


def test_last_time_and_what_to_do_when_reps_left_are_missed_are_on_both(as_coach, desk, session, now):
    first = session.exercises.first()
    first.scheme = scheme_json(rir="2")
    first.save()
    sheet = issue_sheet(by=desk, session=session, now=now)
    # 75 kg less 5 % is 71.25: of the gym's plates 70 kg is the next below (20 kg bar, smallest plate 1.25).
    (row,) = sheet.body["exercises"][0]["if_missed"]
    assert (row["load"], row["take"]) == (75_000, 70_000)
    sheet.body["exercises"][0]["last"] = {"on": "2026-11-16", "sets": [
        {"set": 1, "step": 1, "side": "b", "load": 72_500, "unit": "kg", "setting": "", "reps": 8, "rep_kind": "reps",
         "rir": 2.0, "failed": False},
    ]}  # fmt: skip
    sheet.save()
    page = as_coach.get(reverse("programs:sheet_detail", args=[sheet.pk])).content.decode()
    for text in ("Mon 16 Nov: 72.5 kg x 8 (RIR 2)", "go on with 70 kg"):
        assert text in page
        assert squeezed(text) in words_of(made_of(sheet))


@pytest.mark.parametrize("paper", SIZES)
@pytest.mark.parametrize(("lifts", "steps", "pages"), [(1, 1, 1), (4, 3, 1), (6, 5, 1), (7, 5, 1), (8, 6, 2)])
def test_a_long_session_is_set_closer_and_then_takes_a_second_side(sheet, paper, lifts, steps, pages):
    # 7 x 5 sets still fit one side at 7 pt and more; 8 x 6 do not, and none of them is left out.
    made = made_of(longer(sheet, lifts, steps), paper=paper)
    assert len(reader(made).pages) == pages
    assert words_of(made).count("25+2.5aside") == lifts * steps


def test_the_smallest_words_are_seven_points(sheet):
    sizes: set[float] = set()

    def seen(text, _cm, tm, _font, size):
        if text.strip():
            sizes.add(round(abs(tm[0]) * abs(size), 1))

    page = page_of(longer(sheet, 7, 5), "Practice", "letter")
    assert page["density"] == 3
    for side in reader(sheets_pdf([page], title="Sheets", paper="letter")).pages:
        side.extract_text(visitor_text=seen)
    assert min(sizes) >= 7


@pytest.mark.parametrize("text", HOSTILE)
def test_what_looks_like_markup_is_text(sheet, text):
    sheet.body |= {"client": text[:120], "title": text, "note": text, "stops": [text]}
    sheet.body["exercises"][0] |= {"name": text, "cue": text, "notes": [text]}
    words = words_of(made_of(sheet))
    assert words.count(squeezed(text)) >= 5


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("\u202eabc\u202c\u200f", "abc"), ("😀🏋🏽‍♀️x", f"{BOX}{BOX}{BOX}♀x"), ("שלום", BOX * 4),
        ("a\x01b\x7fc\ud7ff", f"abc{BOX}"), ("tab\tline\nend\u2028x", "tab line end x"), ("Ελένη Київ", "Ελένη Київ"),
    ],
)  # fmt: skip
def test_what_the_typeface_lacks_is_a_box_and_never_an_error(sheet, text, shown):
    assert printable(text) == shown
    sheet.body |= {"client": text, "note": text}
    assert squeezed(shown) in words_of(made_of(sheet))


def test_every_sign_that_is_said_to_be_covered_can_be_set(sheet):
    # typst refuses a document in which any sign has no glyph (ISO 14289-1, 7.21.8).
    sheet.body["note"] = " ".join(map(chr, sorted(covered())))
    assert len(covered()) > 1000
    assert made_of(sheet)


def test_ten_thousand_marks_and_one_endless_word_stay_on_the_paper(sheet):
    sheet.body |= {"note": "e" + "\u0301" * 10_000, "client": "W" * 4000}
    made = made_of(sheet)
    assert words_of(made).count("W") >= 4000


def test_pounds_are_said_in_the_head_and_other_units_beside_the_load(sheet):
    steps = sheet.body["exercises"][0]["steps"]
    sheet.body["unit"] = "lb"
    steps[0] |= {"unit": "lb", "load": 165_000}
    rows = page_of(sheet, "Practice", "letter")["lifts"][0]["rows"]
    assert [row[1] for row in rows] == ["165", "75 kg", "75 kg"]
    assert page_of(sheet, "Practice", "letter")["lifts"][0]["unit"] == "lb"


def test_a_stranger_finds_nothing_and_an_assistant_reads(as_stranger, as_assistant, sheet):
    path = reverse("programs:sheet_pdf", args=[sheet.pk])
    assert as_stranger.get(path).status_code == 404
    assert as_assistant.get(path).status_code == 200
    assert as_assistant.post(path).status_code == 405


def test_nonsense_for_paper_gives_the_practices_own(as_coach, desk, sheet):
    path = reverse("programs:sheet_pdf", args=[sheet.pk])
    assert millimetres(as_coach.get(path, {"paper": "a4'--"}).content) == {SIZES["a4"]}
    desk.practice.unit = "lb"
    desk.practice.save()
    assert millimetres(as_coach.get(path).content) == {SIZES["letter"]}
    assert set(AREA) == set(SIZES)


def test_a_sheet_of_an_earlier_day_without_the_newer_numbers_is_still_set(sheet):
    for lift in sheet.body["exercises"]:
        del lift["last"], lift["if_missed"]
        for step in lift["steps"]:
            del step["fraction"], step["seconds"]
    sheet.for_on = date(2026, 1, 5)
    assert len(reader(made_of(sheet)).pages) == 1


def test_a_large_file_is_set_in_a_process_that_ends_and_reads_the_same(sheet, monkeypatch):
    page = page_of(sheet, "Ärger <b> #panic()", "a4")
    here = sheets_pdf([page] * pdf.MOST_HERE, title="Twenty", paper="a4")
    monkeypatch.setattr(pdf.typesetting, "typeset", lambda job: pytest.fail("set in this process"))
    made = sheets_pdf([page] * (pdf.MOST_HERE + 1), title="Twenty-one", paper="a4")
    assert len(reader(made).pages) == 21
    assert words_of(made) == words_of(here) + words_of(here)[: len(words_of(here)) // 20]


def test_a_process_that_fails_says_nothing_of_what_it_was_given(sheet, monkeypatch):
    monkeypatch.setattr(pdf, "PAPERS", {"a4": "no such paper"})
    page = page_of(sheet, "North Hall", "a4")
    with pytest.raises(RuntimeError) as failed:
        sheets_pdf([page] * 21, title="Twenty-one", paper="a4")
    assert str(failed.value).endswith("sheet.typ ended with 1.")
    assert sheet.client.name not in str(failed.value)
