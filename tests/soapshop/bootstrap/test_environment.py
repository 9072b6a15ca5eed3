import ast
import sys
from pathlib import Path

import pytest

from soapshop.bootstrap.environment import Environment, why_pip_failed
from soapshop.bootstrap.refusal import StartRefused

PROJECT = """
[project]
dependencies = []
[project.optional-dependencies]
test = []
broken = ["-r /nowhere/at/all.txt"]
solver = ["-r /nowhere/at/all.txt"]
"""
ROOT = Path(__file__).parents[3]


def new_place(folder: Path) -> Environment:
    (folder / "soapshop").mkdir()
    (folder / "soapshop" / "constraints.txt").write_text("waitress==3.0.2\n", encoding="utf-8")
    (folder / "pyproject.toml").write_text(PROJECT, encoding="utf-8")
    return Environment(folder)


@pytest.fixture
def place(tmp_path: Path) -> Environment:
    """A project without requirements, so that its environment can be made without a network."""
    return new_place(tmp_path)


@pytest.fixture(scope="module")
def renewed_place(tmp_path_factory: pytest.TempPathFactory) -> Environment:
    """A project whose environment was made with another Python, started once since (takes seconds, so made once)."""
    place = new_place(tmp_path_factory.mktemp("project"))
    stamp_all(place, "base")
    (place.folder / "pyvenv.cfg").write_text("version = 3.8.1\n", encoding="utf-8")
    place._ensure_folder()
    return place


def stamp_all(place: Environment, *extras: str) -> None:
    for extra in extras:
        place.stamp(extra).parent.mkdir(parents=True, exist_ok=True)
        place.stamp(extra).write_text(place._fingerprint(extra), encoding="ascii")
    place.python.parent.mkdir(parents=True, exist_ok=True)
    place.python.touch()


def test_nothing_is_ready_before_the_first_start(place):
    assert not place.is_ready(())


def test_each_extra_has_a_stamp_of_its_own(place):
    stamp_all(place, "base")
    assert place.is_ready(())
    assert not place.is_ready(("test",))
    stamp_all(place, "test")
    assert place.is_ready(("test",))


def test_a_new_requirement_is_noticed(place):
    stamp_all(place, "base")
    project = PROJECT.replace("dependencies = []", 'dependencies = ["segno"]', 1)
    (place.root / "pyproject.toml").write_text(project, encoding="utf-8")
    assert not place.is_ready(())


def test_a_new_pin_is_noticed(place):
    stamp_all(place, "base")
    (place.root / "soapshop" / "constraints.txt").write_text("waitress==3.0.3\n", encoding="utf-8")
    assert not place.is_ready(())


def test_a_start_that_broke_off_is_taken_up_again(place):
    stamp_all(place, "test")
    assert not place.is_ready(("test",))


def test_an_environment_of_another_python_is_made_anew(renewed_place):
    assert renewed_place._python_version() == sys.version_info[:2]
    assert not renewed_place.is_ready(())


def test_a_failed_install_is_refused_and_leaves_no_stamp(renewed_place):
    with pytest.raises(StartRefused, match="Mend that, then start the same command again"):
        renewed_place._install("broken")
    assert not renewed_place.stamp("broken").exists()


def test_a_solver_that_fits_no_package_is_left_out_and_not_tried_at_each_start(renewed_place):
    renewed_place._install("solver")
    assert renewed_place._is_stamped("solver")


def test_no_network_is_said_in_one_sentence():
    report = "WARNING: Retrying after connection broken by 'NewConnectionError'\nERROR: No matching distribution found"
    assert why_pip_failed(report) == (
        "The packages could not be fetched: the package index is out of reach. "
        "Connect this computer to the internet and start the same command again."
    )


def test_every_pinned_line_is_exact_and_names_no_host():
    lines = (ROOT / "soapshop" / "constraints.txt").read_text(encoding="utf-8").splitlines()
    assert all("==" in line.split(";")[0] and "://" not in line for line in lines)


def test_the_way_in_can_be_read_by_an_older_python():
    source = (ROOT / "manage.py").read_text(encoding="utf-8")
    assert ast.parse(source, feature_version=(3, 8))


def test_the_bootstrap_needs_nothing_but_python():
    allowed = set(sys.stdlib_module_names) | {"soapshop"}
    for path in (ROOT / "soapshop" / "bootstrap").glob("*.py"):
        assert imported_at_the_top(path) <= allowed, path.name


def imported_at_the_top(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.ImportFrom):
            names.add((node.module or "").split(".")[0])
        if isinstance(node, ast.Import):
            names.update(part.name.split(".")[0] for part in node.names)
    return names
