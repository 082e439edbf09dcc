"""Every number the engine uses can be defended: words, unit, source and basis; none hides beside the table."""

import ast
import re
from pathlib import Path

import pytest

import coachdesk.engine
from coachdesk.engine import CONSTANTS
from coachdesk.engine.equations import EQUATION_NAMES
from coachdesk.engine.module_numbers import declared, module_numbers
from coachdesk.engine.number_lines import EQUATION_SOURCES, number_lines
from coachdesk.engine.number_words import BASIS_WORDS, GROUPS, WORDS, group_of, rule_names, words_for

ENGINE = Path(coachdesk.engine.__file__).parent
MODULES = sorted(path.stem for path in ENGINE.glob("*.py"))
# They state published tables as printed, or the table of constants itself.
TABLES = {"constants", "constants_need", "constants_training", "equations", "fit_rows"}
# They measure the engine; nothing they hold reaches a prescription.
MEASURING = {"simulate", "coverage", "fit"}
# Names that are arithmetic, not training, in whatever module: steps of a search or a grid, slack for rounding.
NUMERICS = re.compile(r"_?(SLACK|HAIR|BISECTIONS|GRID|TABLE_TO|PER_\w+|HALF_UNIT|FIXED_TOLERANCE|LEAST_FRACTION|STEP)$")
# Bounds of what may be typed or handed in, and of how much is worked on at once.
BOUNDS = re.compile(r"_?(MOST|MAX|LEAST|GREATEST|LONGEST|DEEPEST|AT_ONCE|UNLIMITED|SHOWN|CHECKS)(_[A-Z]+)*$")
CALENDAR = re.compile(r"_?(WEEK|FORTNIGHT)$")
ALLOWED = {
    ("columns_plan", "*"): "codes of kinds in an array, not quantities",
    ("columns_rows", "_SIDES"): "two sides",
    ("effort", "RPE_RIR"): "the published scale; on the page as 'RPE from RIR'",
    ("loads", "KG_PER_LB"): "the exact conversion; on the page as 'A pound'",
    ("loads", "_KG"): "thousandths",
    ("makeable_load", "READS_ALIKE"): "half of the last figure that words show",
    ("strength", "_SLIPS"): "lb for kg, a decimal point, a pair: not training",
    ("strength_filter", "Z90"): "the table's interval_90 again",
    ("strength_filter", "_DAY_VARIANCE"): "square of a row of the table",
    ("strength_filter", "_WEEK_VARIANCE"): "square of a row of the table",
    ("strength_filter", "_TREND_VARIANCE"): "square of a row of the table",
    ("strength_grid", "RATIOS"): "cells of a grid",
    ("strength_grid", "BIASES"): "cells of a grid",
    ("learn_recovery", "PACES"): "cells of a grid",
    ("learn_recovery", "_SHIFTS"): "cells of a grid",
    ("learn_recovery", "Bout.rest_s"): "a field's usual value; every log gives its own",
    ("flag_habit", "_NEAR"): "quarters of a set below a limit, so that a way out clears its flag",
    ("flag_layoff", "_ROUNDING"): "whole sets cannot meet a share exactly",
    ("flag_reports", "_LEAST_FIRST"): "order in which ways out are tried",
    ("flag_targets", "_MOST_CUTS"): "how many ways out are tried",
    ("flag_tools", "sets_label(default)"): "how many names a label lists",
    ("fatigue", "exercise_fatigue(default)"): "hours shown after a session",
    ("plans", "ExerciseTraits.seconds_per_rep"): "the table's seconds_per_rep again",
    ("strength_left", "session_seconds(default)"): "the table's seconds_per_rep again",
    ("rules", "Rules.warmup"): "on the page as 'Warm-up sets'",
    ("scheme", "Scheme.rest_s"): "a field's usual value; every scheme writes its own",
    ("strength_values", "Strength.p_rising"): "even odds where nothing is known",
    ("summary", "_LEAST_MISS"): "a first sieve below the house rules, which decide",
    ("errors", "text(default)"): "a bound of input",
}  # fmt: skip


@pytest.mark.parametrize("constant", CONSTANTS, ids=lambda constant: constant.name)
def test_a_constant_has_words_unit_source_and_an_honest_basis(constant):
    assert constant.name in WORDS or words_for(constant.name) != constant.name.replace("_", " ").capitalize()
    assert group_of(constant.name) != "other"
    assert constant.unit
    assert constant.basis in BASIS_WORDS
    cited = re.search(r"(19|20)\d\d", constant.source)
    said = "common practice" in constant.source or "modelling choice" in constant.source
    if constant.basis in ("published", "secondary"):
        assert cited or "equations" in constant.source
    elif constant.basis in ("trade", "model"):
        assert cited or said
    else:
        assert len(constant.source) > 10


def test_no_constant_stands_twice():
    names = [constant.name for constant in CONSTANTS]
    assert len(names) == len(set(names)) > 100


def test_the_page_lists_every_constant_equation_rule_and_module_number_once():
    lines = number_lines()
    names = [line.name for line in lines]
    assert len(names) == len(set(names))
    assert {constant.name for constant in CONSTANTS} <= set(names)
    assert set(EQUATION_NAMES) == set(EQUATION_SOURCES) <= set(names)
    shown = set(names) | {name.removesuffix("_low") for name in names} | {"curve"}
    assert set(rule_names()) <= shown
    assert {line.group for line in lines} <= {key for key, _ in GROUPS}
    assert all(line.source and line.value and line.basis in BASIS_WORDS.values() for line in lines)


def test_numbers_told_by_a_module_are_there():
    assert {(one.module, one.name) for one in module_numbers()} == set(declared())


def literals(node):
    """Numbers written in an expression, 0 and 1 aside: they count, or stand for nothing and all."""
    return [
        one.value
        for one in ast.walk(node)
        if isinstance(one, ast.Constant) and type(one.value) in (int, float) and one.value not in (0, 1)
    ]


def written_numbers(module):
    """(name, numbers) of module constants, defaults of fields and of arguments that hold a bare number."""
    tree = ast.parse((ENGINE / f"{module}.py").read_text(encoding="utf-8"))
    for node in tree.body:
        if isinstance(node, (ast.Assign, ast.AnnAssign)) and node.value is not None and literals(node.value):
            target = node.targets[0] if isinstance(node, ast.Assign) else node.target
            values = node.value.elts if isinstance(target, ast.Tuple) and isinstance(node.value, ast.Tuple) else None
            if values is None:
                names = target.elts if isinstance(target, ast.Tuple) else [target]
                yield from ((ast.unparse(name), literals(node.value)) for name in names)
            else:
                pairs = zip(target.elts, values, strict=True)
                yield from ((ast.unparse(name), literals(value)) for name, value in pairs if literals(value))
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef):
            fields = [one for one in node.body if isinstance(one, ast.AnnAssign) and one.value is not None]
            yield from (
                (f"{node.name}.{ast.unparse(one.target)}", literals(one.value)) for one in fields if literals(one.value)
            )
        elif isinstance(node, ast.FunctionDef):
            given = [one for one in (*node.args.defaults, *node.args.kw_defaults) if one is not None]
            found = [number for one in given for number in literals(one)]
            if found:
                yield f"{node.name}(default)", found


def is_allowed(module, name):
    bare = name.split(".")[-1]
    if any(pattern.match(bare) for pattern in (NUMERICS, BOUNDS, CALENDAR)):
        return True
    return (module, name) in ALLOWED or (module, "*") in ALLOWED or (module, name) in declared()


@pytest.mark.parametrize("module", [m for m in MODULES if m not in TABLES | MEASURING])
def test_a_module_holds_no_number_that_the_table_does_not_know(module):
    assert [(name, found) for name, found in written_numbers(module) if not is_allowed(module, name)] == []


def test_the_check_finds_what_it_looks_for(tmp_path, monkeypatch):
    (tmp_path / "bad.py").write_text(
        "A = 7.5\nB, C = 1, 3\n\nclass D:\n    e: float = 2.5\n\n"
        "def f(g, h=4, *, i=0.3):\n    return 5\n_SLACK = 1e-9\n"
    )
    monkeypatch.setattr("tests.engine.test_numbers.ENGINE", tmp_path)
    found = [name for name, _ in written_numbers("bad") if not is_allowed("bad", name)]
    assert found == ["A", "C", "D.e", "f(default)"]


def test_every_allowance_is_still_needed():
    needed = {(module, name) for module in MODULES for name, _ in written_numbers(module)}
    assert [key for key in ALLOWED if key[1] != "*" and key not in needed] == []
