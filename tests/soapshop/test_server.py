import socket

import pytest
from django.core.management import CommandError, call_command

from soapshop.server import open_port


def test_a_port_in_use_is_refused_with_another_to_try():
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        with pytest.raises(CommandError) as refusal:
            open_port("127.0.0.1", port, command="demo")
    assert refusal.value.returncode == 2
    assert str(refusal.value) == (
        f"Port {port} is in use; perhaps the shop is running already at http://127.0.0.1:{port}/. "
        f"Stop it there, or choose another port: python3 manage.py demo --port {port + 1}"
    )


def test_a_free_port_is_taken():
    with open_port("127.0.0.1", 0, command="demo") as taken:
        assert taken.getsockname()[1] > 0


def test_the_real_shop_does_not_open_on_the_demos_data(settings):
    settings.DEMO = True
    with pytest.raises(CommandError, match="this would be the demo's data"):
        call_command("serve")
