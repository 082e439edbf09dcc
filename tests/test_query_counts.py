"""How many queries each page takes: no more with many rows than with few, and ten at most but where that is said.

The whole table with 1, 25 and 250 rows is printed by `python -m pytest -n0 -s -m figures tests/test_query_counts.py`.
"""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.factories.many import grow
from tests.factories.whole import one_of_everything
from tests.test_access import ROUTES

pytestmark = pytest.mark.django_db
MOST = 10
# A whole client's data, a report over everything, a programme with all that the engine is told: more looks, none a row.
OVER = {
    "clients:client_erase": 39, "clients:client_records": 46, "logs:block_report": 27, "logs:block_report_pdf": 27,
    "logs:session_log": 11, "logs:session_log_detail": 12, "programs:client_calendar": 22, "programs:client_pain": 14,
    "programs:client_strength": 11, "programs:group_detail": 18, "programs:program_assign_many": 18,
    "programs:program_detail": 13, "programs:template_versions": 11, "programs:version_compare": 13,
}  # fmt: skip
PAGES = sorted(
    name for name, (kind, _, methods) in ROUTES.items()
    if ("G" in methods or "W" in methods) and kind not in ("open", "phone", "link", "owner")
)  # fmt: skip


def counted(browser, ids):
    """Queries by page, each opened once before it is counted."""
    found = {}
    browser.get("/")  # works the roster's rows out, which other pages read
    for name in PAGES:
        path = reverse(name, args=ids[ROUTES[name][1]])
        browser.get(path)
        with CaptureQueriesContext(connection) as queries:
            browser.get(path)
        found[name] = len(queries)
    return found


def table(desk, as_coach, now, sizes):
    """Queries by page for each number of rows of everything that pages list, beside one of everything."""
    ids = one_of_everything(desk, now)
    made, last = [], 0
    for size in sizes:
        grow(ids, desk, now, last + 1, size)
        last = size
        made.append(counted(as_coach, ids))
    return made


def judged(made):
    """Pages whose count is not the same for every number of rows, and those that take more than `MOST`."""
    growing = {name: [one[name] for one in made] for name in PAGES if len({one[name] for one in made}) > 1}
    return growing, {name: count for name, count in made[-1].items() if count > MOST}


def test_pages_take_as_many_queries_for_a_few_rows_as_for_one(desk, as_coach, now):
    growing, many = judged(table(desk, as_coach, now, (1, 4)))
    assert (growing, many) == ({}, OVER)


@pytest.mark.figures
def test_every_page_takes_as_many_queries_for_250_rows_as_for_one(desk, as_coach, now):
    made = table(desk, as_coach, now, (1, 25, 250))
    for name in PAGES:
        print(f"{name:45} {'  '.join(f'{one[name]:3}' for one in made)}")
    growing, many = judged(made)
    print(f"{len(PAGES)} pages; growing: {growing}; over {MOST}: {many}")
    assert (growing, many) == ({}, OVER)
