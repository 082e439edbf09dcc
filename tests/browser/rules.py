"""The accessibility rules that every page is held to, run on a page as it stands."""

from typing import Any

from axe_playwright_python.sync_playwright import Axe

# Of what holds only the names are kept: writing every node of a long page out took most of the time.
# Of what axe would fetch first, style sheets serve one rule alone, an experimental one that is off.
OPTIONS = {
    "resultTypes": ["violations"],
    "rules": {"target-size": {"enabled": True}},
    "preload": {"assets": ["media"]},
}
SCRIPT = Axe().axe_script
RUN = """options => axe.run(document, options).then(
    found => found.violations.map(rule => [rule.id, rule.nodes.slice(0, 3).map(node => node.target)]))"""


def broken_rules(page: Any, *state: Any) -> list[tuple[Any, ...]]:
    """(state..., rule, its first three places) for every rule that the page breaks; all rules, target size too."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(SCRIPT)
    return [(*state, *found) for found in page.evaluate(RUN, OPTIONS)]
