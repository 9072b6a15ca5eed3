"""Where no solver is installed, its own tests are left out; all else about planning is tested without it."""

from importlib.util import find_spec

import pytest

from production.cure.remembered import forget_rack

collect_ignore = [] if find_spec("ortools") else ["test_planning_solver.py"]


@pytest.fixture(autouse=True)
def _rack_read_afresh() -> None:
    """Rows of a test are rolled back without an event: what was remembered of them must not reach the next."""
    forget_rack()
