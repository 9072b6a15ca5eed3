from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from soapshop.bootstrap.lock import only_one_at_a_time
from soapshop.models import User
from soapshop.server import open_port, prepare_shop, serve


class Command(BaseCommand):
    help = "Run the real shop: its own database, no demo data. The first visit asks for the owner's account."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--host", default="127.0.0.1", help="Address to listen on (default: this computer only).")
        parser.add_argument("--port", type=int, default=8000, help="Port to listen on (default: 8000).")

    def handle(self, *args: Any, host: str, port: int, **options: Any) -> None:
        if settings.DEMO:
            raise CommandError(
                "SOAPSHOP_DEMO is set, so this would be the demo's data. Unset it, or type: python3 manage.py demo",
                returncode=2,
            )
        taken = open_port(host, port, command="serve")
        with only_one_at_a_time(settings.DATA_DIR / "preparing.lock"):
            prepare_shop()
        self.stdout.write(f"The shop is open at http://{host}:{port}/  (Ctrl+C stops it)")
        if not User.objects.exists():
            self.stdout.write("It has no account yet: the first page asks for the owner's.")
        self.stdout.flush()
        serve(taken)
