"""Where no solver is installed, its own tests are left out; all else about planning is tested without it."""

from importlib.util import find_spec

collect_ignore = [] if find_spec("ortools") else ["test_planning_solver.py"]
