"""The shared components: what they say to a screen reader, and that every link has its other end."""

import json
import re
from types import SimpleNamespace

import pytest
from django import forms
from django.template.loader import render_to_string


class ClientForm(forms.Form):
    name = forms.CharField(help_text="As it should stand on the sheet.")
    year = forms.IntegerField(required=False)
    goal = forms.ChoiceField(choices=[("size", "Size"), ("health", "Health")], widget=forms.RadioSelect)
    screened = forms.BooleanField(required=False)


def render_form(form: forms.Form) -> str:
    fields = "".join(render_to_string("components/_field.html", {"field": field}) for field in form)
    return render_to_string("components/_error_summary.html", {"form": form}) + fields


def ids(html: str) -> set[str]:
    return set(re.findall(r'\sid="([^"]+)"', html))


def flag(severity: str) -> SimpleNamespace:
    return SimpleNamespace(
        id="a1",
        severity=severity,
        where_words="week 4, chest",
        sentence="Chest gets 18 sets; the band is 10 to 16.",
        source="house rule",
        remedies=[SimpleNamespace(label="Take 2 sets away")],
    )


def test_field_names_its_hint_and_error() -> None:
    html = render_form(ClientForm({}))
    named = {name for value in re.findall(r'aria-describedby="([^"]+)"', html) for name in value.split()}
    assert {"id_name_helptext", "id_name_error"} <= named
    assert named <= ids(html)
    assert re.search(r'<input[^>]*id="id_name"[^>]*aria-invalid="true"|aria-invalid="true"[^>]*id="id_name"', html)


def test_error_summary_leads_to_fields_that_exist() -> None:
    html = render_form(ClientForm({"year": "soon"}))
    targets = set(re.findall(r'href="#([^"]+)"', html))
    assert {"id_name", "id_year", "id_goal_0"} == targets
    assert targets <= ids(html)


def test_error_summary_is_absent_without_errors() -> None:
    assert "error-summary" not in render_form(ClientForm())


def test_only_optional_fields_say_so() -> None:
    html = render_form(ClientForm())
    assert html.count("(optional)") == 1
    assert re.search(r'<label for="id_year">Year <span class="optional">', html)


def test_each_severity_has_a_mark_of_its_own() -> None:
    shapes = {
        re.sub(r"<svg[^>]*>", "", render_to_string("components/_mark.html", {"severity": s}))
        for s in ("stop", "check", "note")
    }
    assert len(shapes) == 3


@pytest.mark.parametrize("severity", ["stop", "check", "note"])
def test_flag_says_its_severity_in_words(severity: str) -> None:
    html = render_to_string("components/_flag.html", {"flag": flag(severity), "apply_url": "/apply/", "version": 3})
    assert f"<span>{severity}</span>" in html
    assert "Take 2 sets away" in html
    assert 'name="remedy" value="0"' in html


def test_flag_escapes_what_a_coach_typed() -> None:
    dangerous = flag("note")
    dangerous.sentence = "<img src=x onerror=alert(1)>"
    assert "<img" not in render_to_string("components/_flag.html", {"flag": dangerous})


@pytest.mark.parametrize(
    ("status", "swap", "error"),
    [
        ("200", True, False),
        ("204", False, False),
        ("401", True, False),
        ("409", True, False),
        ("422", True, False),
        ("403", False, True),
        ("404", False, True),
        ("500", False, True),
    ],
)
def test_htmx_answers_are_handled_by_status(status: str, swap: bool, error: bool) -> None:
    config = json.loads(render_to_string("components/_htmx_config.json"))
    # htmx takes the first entry whose code, read as a regular expression, is found in the status.
    entry = next(entry for entry in config["responseHandling"] if re.search(entry["code"], status))
    assert (entry["swap"], entry.get("error", False)) == (swap, error)


def test_htmx_may_neither_evaluate_nor_leave_the_desk() -> None:
    config = json.loads(render_to_string("components/_htmx_config.json"))
    assert config["selfRequestsOnly"] is True
    assert (config["allowEval"], config["allowScriptTags"], config["includeIndicatorStyles"]) == (False,) * 3
