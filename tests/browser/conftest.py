"""A real browser for the tests of this folder. Each test fails on a console error, on a script's error, and on any
request that leaves the shop's own server.
"""

import importlib.util
import os
import shutil
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from soapshop.models import User, Workshop
from tests.conftest import PASSWORD

REQUIRE_ALL = os.environ.get("SOAPSHOP_REQUIRE_ALL") == "1"
BROWSER_NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
STAY_OFFLINE = (
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
)
PHONE = {"width": 375, "height": 667}
DESKTOP = {"width": 1280, "height": 900}


def browser_path() -> str | None:
    return next((found for name in BROWSER_NAMES if (found := shutil.which(name))), None)


def what_is_missing() -> str:
    """Return the sentence that says why no browser test can run here, or nothing."""
    if not all(importlib.util.find_spec(package) for package in ("playwright", "axe_playwright_python")):
        return "Browser tests need the packages of the browser extra. Get them with: python3 manage.py test"
    if not browser_path():
        return "Browser tests need chromium. Get it with: sudo apt-get install chromium"
    return ""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = os.path.dirname(__file__)
    ours = [item for item in items if str(item.path).startswith(here)]
    reason = what_is_missing() if ours else ""
    for item in ours:
        item.add_marker(pytest.mark.browser)
        item.add_marker(pytest.mark.django_db(transaction=True))
        if reason and not REQUIRE_ALL:
            item.add_marker(pytest.mark.skip(reason=reason))


@pytest.fixture(scope="package")
def browser() -> Iterator[Any]:
    reason = what_is_missing()
    if reason:
        pytest.fail(reason)
    from playwright.sync_api import sync_playwright

    # Playwright's own loop runs in this thread, and Django takes that for asynchronous code; it is not. The permission
    # ends with the tests of this folder, or a command that a later test starts would inherit it.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    try:
        with sync_playwright() as playwright:
            chromium = playwright.chromium.launch(executable_path=browser_path(), args=list(STAY_OFFLINE))
            yield chromium
            chromium.close()
    finally:
        os.environ.pop("DJANGO_ALLOW_ASYNC_UNSAFE")


@pytest.fixture
def new_page(browser: Any, live_server: Any) -> Iterator[Callable[..., Any]]:
    """Return a function that opens a page in a context of its own: new_page(viewport=PHONE, color_scheme="dark")."""
    contexts: list[Any] = []
    faults: list[str] = []

    def open_page(**options: Any) -> Any:
        context = browser.new_context(base_url=live_server.url, **{"viewport": DESKTOP, **options})
        context.set_default_timeout(15_000)
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda line: is_fault(line) and faults.append(f"console: {line.text}"))
        page.on("pageerror", lambda error: faults.append(f"script: {error}"))
        page.on("request", lambda sent: leaves(sent.url) and faults.append(f"left the shop: {sent.url}"))
        return page

    def is_fault(line: Any) -> bool:
        # A form refused with its reasons answers 422, and chromium notes that by itself.
        return line.type == "error" and "status of 422" not in line.text

    def leaves(url: str) -> bool:
        return not url.startswith((live_server.url + "/", "data:", "blob:", "about:"))

    yield open_page
    for context in contexts:
        context.close()
    assert faults == []


@pytest.fixture
def page(new_page: Callable[..., Any]) -> Any:
    return new_page()


@pytest.fixture
def shop_owner(db: None) -> User:
    """The owner of a shop with one account, whose password is PASSWORD."""
    Workshop.current()
    return User.objects.create_user("owner", password=PASSWORD, first_name="Ines", role=User.Role.OWNER)


@pytest.fixture
def sign_in(shop_owner: User, client: Any, live_server: Any) -> Callable[[Any], Any]:
    """Return a function that signs a page in without walking through the form."""

    def put_session(page: Any) -> Any:
        from django.conf import settings

        client.force_login(shop_owner)
        name = settings.SESSION_COOKIE_NAME
        page.context.add_cookies([{"name": name, "value": client.cookies[name].value, "url": live_server.url}])
        return page

    return put_session


@pytest.fixture
def signed_in_page(page: Any, sign_in: Callable[[Any], Any]) -> Any:
    return sign_in(page)


def axe_faults(page: Any) -> list[str]:
    """Return what axe finds serious or critical on the page: rule, then the first place it shows."""
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page).response["violations"]
    return [
        f"{fault['id']}: {fault['nodes'][0]['target']} {fault['help']}"
        for fault in found
        if fault["impact"] in ("serious", "critical")
    ]


@pytest.fixture
def assert_accessible() -> Callable[[Any], None]:
    def check(page: Any) -> None:
        assert axe_faults(page) == []

    return check


@pytest.fixture
def assert_fits_width() -> Callable[[Any], None]:
    """Fail where a page has to be pushed sideways."""

    def check(page: Any) -> None:
        widths = page.evaluate("[document.documentElement.scrollWidth, document.documentElement.clientWidth]")
        assert widths[0] <= widths[1], f"{page.url} is {widths[0]} px wide in a window of {widths[1]} px"

    return check
