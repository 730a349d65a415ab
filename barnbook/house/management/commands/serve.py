"""`barnbook serve`: everything at home, from the first start on."""

from __future__ import annotations

import os
import socket
import sys
from argparse import ArgumentParser
from collections.abc import Sequence
from contextlib import ExitStack
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.utils import timezone

from barnbook.barn.rights import replay_rights
from barnbook.house import begin_link, example, serving
from barnbook.house.data_folder import DataFolderError, hold
from barnbook.house.keeping.upgrading import UpgradeError, bring_up_to_date
from barnbook.house.phone_address import keep_phone_address
from barnbook.journal import high_water

# A service worker and a password want HTTPS, or this very machine: so nothing is opened to the network unasked.
HOST = "127.0.0.1"


class Command(BaseCommand):
    help = "Serve the book: makes its data folder at the first start, and brings an older one up to date."
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--port", default=os.environ.get("PORT"), help="default: PORT, else 8000; at home 8443")
        parser.add_argument("--data", metavar="FOLDER", help="where the book lies; default: BARNBOOK_DATA, else .data")
        parser.add_argument("--host", help=f"address to listen on; default {HOST}, this machine alone; at home all")
        parser.add_argument("--example", action="store_true", help="make the example farm, and print its sign-in")
        parser.add_argument("--home", action="store_true", help="by https to the phones on this house's network")
        parser.add_argument("--plain-port", default="8000", help="at home: of the page that leads a phone in")

    def handle(self, **options: Any) -> None:
        at_home: bool = options["home"]
        host = options["host"] or ("0.0.0.0" if at_home else HOST)
        port = _port(options["port"] or ("8443" if at_home else "8000"))
        try:
            held = hold(settings.DATA)
        except DataFolderError as error:
            raise SystemExit(str(error)) from None
        with held, _listener(host, port) as listener, ExitStack() as beside:
            self._bring_up_to_date()
            high_water.book_here()
            replay_rights()  # an older copy may have been put back by hand
            if options["example"]:
                _make_example()
            if at_home:
                # With its certificates and its name on the network, 14 MB: not for a house on this machine alone.
                from barnbook.house.home.opening import open_to_phones

                plain = beside.enter_context(_listener(host, _port(options["plain_port"])))
                opened = open_to_phones(listener, plain, beside)
                lines = self._lines(opened.address, opened.lines)
                serving.serve(listener, ready=lambda: self._say(lines, opened.qr), home=opened.home)
                return
            address = f"http://{_shown(host)}:{listener.getsockname()[1]}"
            keep_phone_address(None if host == HOST else address, now=timezone.now())
            lines = self._lines(address)
            serving.serve(listener, ready=lambda: self._say(lines))

    def _bring_up_to_date(self) -> None:
        try:
            made = bring_up_to_date(timezone.now())
        except UpgradeError as error:
            raise SystemExit(str(error)) from None
        if made is not None:
            self.stdout.write(f"The book was brought up to date. As it was before, it is kept in {made.path}.")

    def _lines(self, address: str, more: Sequence[tuple[str, str]] = ()) -> list[tuple[str, str]]:
        lines = [("Open", address), *more]
        if example.owner() is not None:
            name, password = example.sign_in()
            lines.append(("Example", f"sign in as {name}, password {password}"))
        token = begin_link.draw()
        if token is not None:
            lines.append(("Begin", f"{address}/begin/{token}  (works once, to begin a book of your own)"))
        return [*lines, ("Data", str(settings.DATA)), ("Stop", "Ctrl-C")]

    def _say(self, lines: list[tuple[str, str]], qr: str = "") -> None:
        block = "\n".join(f"  {name:<9}{value}" for name, value in lines)
        self.stdout.write(f"{qr if _can_be_drawn(qr) else ''}\nBarnbook is open.\n\n{block}\n")
        self.stdout.flush()


def _can_be_drawn(qr: str) -> bool:
    """Not where what is said goes to a file of an older code page (Windows, opened at sign-in)."""
    try:
        qr.encode(getattr(sys.stdout, "encoding", None) or "ascii")
    except UnicodeEncodeError:
        return False
    return True


def _make_example() -> None:
    if example.owner() is None and example.run(quiet=False).wait() != 0:
        raise SystemExit("The example farm could not be made, so nothing is served: see the line above.")


def _port(text: str) -> int:
    if not (text.isascii() and text.isdigit()) or int(text) > 65535:
        raise SystemExit(f"The port '{text}' is none: give a whole number up to 65535, such as --port 8000.")
    return int(text)


def _listener(host: str, port: int) -> socket.socket:
    try:
        return serving.listen(host, port)
    except OSError as error:
        reason = os.strerror(error.errno) if error.errno else str(error)
        raise SystemExit(
            f"Barnbook cannot listen on {host} port {port} ({reason}): choose another with --port, "
            "or stop what is using it."
        ) from None


def _shown(host: str) -> str:
    """The address to open in a browser: where every address is listened on, this machine's own on its network."""
    if host not in ("0.0.0.0", "::", ""):
        return f"[{host}]" if ":" in host else host
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # RFC 5737's example network: nothing is sent, a route is only chosen
        except OSError:
            return "localhost"
        return str(probe.getsockname()[0])
