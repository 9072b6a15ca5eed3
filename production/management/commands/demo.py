from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from orders.models import Order
from production.demo import demo_today, play_demo
from soapshop.bootstrap.lock import only_one_at_a_time
from soapshop.models import User
from soapshop.server import open_port, prepare_shop, serve

HOST = "127.0.0.1"
DEMO_USER = "demo"
DEMO_PASSWORD = "bars-on-the-rack"  # noqa: S105  (printed on purpose: the demo listens on this computer only)


class Command(BaseCommand):
    help = "Set up a demo shop with data of its own and serve it on this computer."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--port", type=int, default=8000, help="Port to listen on (default: 8000).")
        parser.add_argument("--no-serve", action="store_true", help="Set the demo up, but do not serve it.")

    def handle(self, *args: Any, port: int, no_serve: bool, **options: Any) -> None:
        if not settings.DEMO:
            raise CommandError("The demo runs only on its own data. Start it as: python3 manage.py demo", returncode=2)
        taken = None if no_serve else open_port(HOST, port, command="demo")
        with only_one_at_a_time(settings.DATA_DIR / "preparing.lock"):
            prepare_shop()
            self._play_once()
        self.stdout.write(f"Sign in as {DEMO_USER} with the password {DEMO_PASSWORD}")
        if taken is None:
            self.stdout.write("The demo shop is ready. Open it with: python3 manage.py demo")
            return
        self.stdout.write(f"The demo shop is open at http://{HOST}:{port}/  (Ctrl+C stops it)")
        self.stdout.flush()
        serve(taken)

    def _play_once(self) -> None:
        """Make the account, and play the shop's year where no order stands yet; what is there stays as it is."""
        if not User.objects.filter(username=DEMO_USER).exists():
            User.objects.create_user(DEMO_USER, password=DEMO_PASSWORD, first_name="Demo", role=User.Role.OWNER)
        if not Order.objects.exists():
            self.stdout.write("Playing the demo shop's year …")
            # All or nothing: a start that is stopped halfway leaves no half-played year behind.
            with transaction.atomic():
                play_demo(today=demo_today())
