"""The worked numbers in the engine's README are run."""

import doctest
from pathlib import Path

import coachdesk.engine

README = Path(coachdesk.engine.__file__).parent / "README.md"


def test_the_worked_numbers_of_the_readme_hold():
    failed, tried = doctest.testfile(str(README), module_relative=False)
    assert tried >= 10
    assert failed == 0


def test_every_file_of_the_engine_opens_with_one_sentence():
    for path in README.parent.glob("*.py"):
        first = path.read_text(encoding="utf-8").splitlines()[0]
        assert first.startswith('"""'), path.name
        assert first.endswith('."""'), path.name


def test_the_engine_loads_neither_django_nor_numpy():
    import subprocess
    import sys

    code = "import sys, coachdesk.engine; print([m for m in sys.modules if m.split('.')[0] in ('django', 'numpy')])"
    root = README.parents[2]
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=root)
    assert done.stdout.strip() == "[]"
