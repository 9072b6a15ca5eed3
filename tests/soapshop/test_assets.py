from pathlib import Path

import pytest
from django.contrib.staticfiles import finders

from soapshop.assets import PACKAGE_FILES, PackageFilesFinder, ensure_collected


@pytest.mark.parametrize("name", PACKAGE_FILES)
def test_package_files_are_found_under_their_own_names(name):
    found = finders.find(name)
    assert found is not None
    assert Path(found).is_file()


@pytest.mark.parametrize("name", ("django_htmx/htmx-4.js", "fonts/../secret", "htmx/../../settings.py"))
def test_nothing_else_leaves_a_package(name):
    assert PackageFilesFinder().find(name) == []


def test_static_files_are_served_from_this_server(client):
    response = client.get("/static/htmx/htmx.min.js")
    assert response.status_code == 200


def test_laying_out_twice_does_nothing_the_second_time(settings, tmp_path):
    settings.STATIC_ROOT = tmp_path / "static"
    ensure_collected()
    laid_out = tmp_path / "static" / "htmx" / "htmx.min.js"
    assert laid_out.is_file()
    laid_out.unlink()
    ensure_collected()
    assert not laid_out.exists()
