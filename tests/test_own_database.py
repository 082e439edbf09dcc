"""Where the tests' own rows are kept."""

from pathlib import Path

import pytest
from django.db import connection


def test_a_run_has_a_database_of_its_own(db: None, tmp_path_factory: pytest.TempPathFactory) -> None:
    name = str(connection.settings_dict["NAME"])
    if connection.vendor == "sqlite":
        assert Path(name).is_relative_to(tmp_path_factory.getbasetemp())
        assert Path(name).exists()
    else:
        assert name.startswith("test_")


def test_long_files_come_first(request: pytest.FixtureRequest) -> None:
    from tests.conftest import LONG

    here = Path(__file__).parent
    found = [item.path.relative_to(here).as_posix().startswith(LONG) for item in request.session.items]
    assert found == sorted(found, reverse=True)
    assert all(list(here.glob(f"{name}*")) for name in LONG), "a long file has moved"
