"""Make a shop ready to be served, and serve it with waitress: one process, four threads, any system."""

import errno
import os
import socket
from contextlib import suppress
from io import StringIO

from django.conf import settings
from django.core.management import call_command, get_commands
from django.core.management.base import CommandError

from soapshop.assets import ensure_collected

THREADS = 4
# With https a proxy stands in front on the same computer; only it may say what the visitor's own connection was.
PROXY_ADDRESS = "127.0.0.1"
PROXY_HEADERS = {"x-forwarded-proto", "x-forwarded-for", "x-forwarded-host"}


def open_port(host: str, port: int, *, command: str) -> socket.socket:
    """Take the port at once, before anything else is done, or refuse with the mend."""
    taken = socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET, socket.SOCK_STREAM)
    if os.name == "posix":
        # Lets a shop that was just stopped start again; a port in use is refused all the same.
        taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        taken.bind((host, port))
        taken.listen(128)
    except OSError as fault:
        taken.close()
        raise CommandError(_why_no_port(fault, host, port, command), returncode=2) from fault
    return taken


def _why_no_port(fault: OSError, host: str, port: int, command: str) -> str:
    if fault.errno == errno.EADDRINUSE:
        return (
            f"Port {port} is in use; perhaps the shop is running already at http://{host}:{port}/. "
            f"Stop it there, or choose another port: python3 manage.py {command} --port {port + 1}"
        )
    if fault.errno == errno.EACCES:
        return f"This account may not use port {port}. Choose one above 1023, such as 8000."
    return f"The address {host}, port {port}, cannot be used ({fault.strerror}). Try --host 127.0.0.1 --port 8000."


def prepare_shop() -> None:
    """Bring the database up to date, load the reference figures, and lay out styles, scripts and fonts."""
    call_command("migrate", interactive=False, verbosity=0)
    if "load_reference" in get_commands():
        call_command("load_reference", verbosity=0, stdout=StringIO())
    if not settings.WHITENOISE_USE_FINDERS:
        ensure_collected()


def serve(taken: socket.socket) -> None:
    """Answer requests until the process is stopped (Ctrl+C)."""
    from waitress.server import create_server

    from soapshop.wsgi import application

    proxy = {"trusted_proxy": PROXY_ADDRESS, "trusted_proxy_headers": PROXY_HEADERS} if settings.HTTPS else {}
    server = create_server(application, sockets=[taken], threads=THREADS, ident="soapshop", **proxy)
    with suppress(KeyboardInterrupt):
        server.run()
    server.close()
