"""What many tests share: the workshop, its people, a signed-in browser-less client, and a fixed day."""

import socket
import threading
from collections.abc import Iterator
from datetime import date

import pytest
from django.db import connections
from django.test import Client
from hypothesis import HealthCheck, settings

from soapshop.models import User, Workshop

# Steady on a busy machine: no test fails for the time it takes, and every run tries the same examples.
settings.register_profile("shop", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("shop")

TODAY = date(2026, 5, 12)
PASSWORD = "lavender-and-clay"


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    django_db_modify_db_settings_parallel_suffix: None, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Give each process of the suite a database of its own, and keep the tests' SQLite in a file: kept in memory, the
    test and the threads of the server for the browser would share one connection, and with it one transaction.
    """
    settings_dict = connections["default"].settings_dict
    if "sqlite" in settings_dict["ENGINE"]:
        settings_dict["TEST"]["NAME"] = str(tmp_path_factory.mktemp("database") / "shop.sqlite3")


@pytest.fixture
def today() -> date:
    """The day on which a test plays; rules take it as an argument."""
    return TODAY


@pytest.fixture
def workshop(db: None) -> Workshop:
    shop = Workshop.current()
    shop.name = "Quarry Lane Soapworks"
    shop.maker_name = "Quarry Lane Soapworks"
    shop.street = "12 Quarry Lane"
    shop.city_line = "Elderford, OR 97000"
    shop.country = "USA"
    shop.time_zone = "America/Los_Angeles"
    shop.save()
    return shop


@pytest.fixture
def owner(db: None) -> User:
    return User.objects.create_user("owner", password=PASSWORD, first_name="Ines", role=User.Role.OWNER)


@pytest.fixture
def maker(db: None) -> User:
    return User.objects.create_user("maker", password=PASSWORD, first_name="Tobin", role=User.Role.MAKER)


@pytest.fixture
def owner_client(owner: User, workshop: Workshop) -> Client:
    """A client signed in as the owner."""
    client = Client()
    client.force_login(owner)
    return client


@pytest.fixture
def maker_client(maker: User, workshop: Workshop) -> Client:
    """A client signed in as a maker, who may do everything except what only an owner may."""
    client = Client()
    client.force_login(maker)
    return client


@pytest.fixture
def listener() -> Iterator[tuple[int, list[bytes]]]:
    """A port on loopback, and what was said to it by whoever called."""
    calls: list[bytes] = []
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(0.05)
        is_over = threading.Event()

        def accept() -> None:
            while not is_over.is_set():
                try:
                    caller, _ = server.accept()
                except TimeoutError:
                    continue
                calls.append(caller.recv(200))
                caller.close()

        thread = threading.Thread(target=accept)
        thread.start()
        yield server.getsockname()[1], calls
        is_over.set()
        thread.join()
