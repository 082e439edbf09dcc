"""Rules of the house that no other tool checks: arrows between models, doors, sizes, words in templates."""

import re
from pathlib import Path

from django.apps import apps

ROOT = Path(__file__).resolve().parent.parent
FLOORS = {"auth": 0, "contenttypes": 0, "sessions": 0, "practice": 1, "clients": 2, "programs": 3, "logs": 4}
OURS = ("coachdesk", "clients", "programs", "templates", "static", "tests")


def _files(*suffixes: str) -> list[Path]:
    found = [p for top in OURS for p in (ROOT / top).rglob("*") if p.suffix in suffixes]
    return [p for p in found if "vendor" not in p.parts and "migrations" not in p.parts]


def test_no_model_points_at_a_higher_floor():
    up = [
        f"{model._meta.label}.{field.name}"
        for model in apps.get_models()
        for field in model._meta.get_fields()
        if field.concrete and field.is_relation and field.related_model is not None
        and FLOORS[field.related_model._meta.app_label] > FLOORS[model._meta.app_label]
    ]  # fmt: skip
    assert len(apps.get_models()) > 20
    assert not up


def test_views_never_reach_past_their_doors():
    views = [p for p in _files(".py") if p.name == "views.py" or p.parent.name == "views"]
    assert len(views) > 10
    assert not [str(p) for p in views if re.search(r"\.objects\b", p.read_text())]


def test_no_file_of_ours_is_longer_than_400_lines():
    files = _files(".py", ".html", ".css", ".js")
    assert len(files) > 200
    assert not [(str(p.relative_to(ROOT)), n) for p in files if (n := len(p.read_text().splitlines())) > 400]


def test_every_module_says_what_belongs_in_it():
    modules = [p for p in _files(".py") if p.read_text().strip()]
    assert not [str(p.relative_to(ROOT)) for p in modules if not p.read_text().lstrip().startswith('"""')]


def test_importing_the_engine_loads_neither_django_nor_numpy():
    import subprocess
    import sys

    code = "import coachdesk.engine, sys; print([name for name in ('django', 'numpy') if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_only_the_columns_of_the_engine_use_numpy():
    engine = ROOT / "coachdesk" / "engine"
    users = {p.name for p in engine.rglob("*.py") if re.search(r"^\s*(import|from) numpy", p.read_text(), re.M)}
    assert users
    assert {name for name in users if not name.startswith("columns")} == set()
