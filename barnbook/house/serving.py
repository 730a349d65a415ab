"""The house at work: the app, the wire and the worker in one process, until it is told to stop.

Why so: one process is what a Raspberry Pi has room for; WSGI in eight threads
answered twice as fast as the same views under ASGI when both were tried; the queue's worker is a thread beside them.
"""

from __future__ import annotations

import asyncio
import gc
import logging
import signal
import socket
from collections.abc import Callable
from contextlib import nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import uvicorn
from a2wsgi import WSGIMiddleware
from django.core.wsgi import get_wsgi_application
from django.urls import get_resolver
from django.utils.module_loading import autodiscover_modules
from huey.contrib.djhuey import HUEY

from barnbook.house.tasks import keep_safe
from barnbook.work import reckoner
from barnbook.work.tasks import sweep

log = logging.getLogger(__name__)

THREADS = 8
HEALTH_EVERY_SECONDS = 10
LOOK_AFTER_HOME_EVERY_SECONDS = 60  # a laptop that wakes on another network is found again within a minute
STOP_WITHIN_SECONDS = 10
LONGEST_POLL_SECONDS = 1.0


@dataclass(frozen=True, slots=True)
class AtHome:
    """Serving phones by https. certificate, key: files.  look_after: sees to it that they are good for a while and that
    phones find the house, and says whether the certificate was made anew.  plain: the page that leads a phone in, at
    that listener."""

    certificate: Path
    key: Path
    look_after: Callable[[], bool]
    plain: Any
    plain_listener: socket.socket


def listen(host: str, port: int) -> socket.socket:
    """A socket bound to that address. Raises OSError, before anything else has been begun."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    return socket.create_server((host, port), family=family, backlog=128)


def make_worker() -> Any:
    """Huey's consumer as a thread of this process; it leaves the signals alone."""
    autodiscover_modules("tasks")
    consumer = HUEY.create_consumer(
        workers=1,
        worker_type="thread",
        periodic=True,
        max_delay=LONGEST_POLL_SECONDS,
        shutdown_timeout=STOP_WITHIN_SECONDS,
    )
    consumer._set_signal_handlers = lambda: None  # else start() takes SIGINT and SIGTERM from us
    return consumer


def make_server(home: AtHome | None = None) -> uvicorn.Server:
    wsgi: Any = get_wsgi_application()
    application = WSGIMiddleware(wsgi, workers=THREADS)
    assert get_resolver().url_patterns  # imports every view now, so that the first visitor need not wait
    if home is None:
        return _server(application)
    # Nobody stands between a phone and this house: what a visitor says of where it comes from is not believed.
    return _server(application, ssl_certfile=home.certificate, ssl_keyfile=home.key, proxy_headers=False)


def _server(application: Any, **options: Any) -> uvicorn.Server:
    config = uvicorn.Config(
        application,
        lifespan="off",
        http="h11",
        loop="asyncio",
        log_config=None,
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=5,
        **options,
    )
    server = uvicorn.Server(config)
    server.capture_signals = nullcontext  # type: ignore[method-assign,assignment]  # ours, below
    return server


def serve(listener: socket.socket, *, ready: Callable[[], None], home: AtHome | None = None) -> None:
    """Serve from that socket until SIGTERM or SIGINT; a second one stops at once. `ready`: called once it answers."""
    server = make_server(home)
    plain = _server(home.plain, proxy_headers=False) if home else None

    def stop(signum: int, frame: object) -> None:
        for each in (server, plain):
            if each is not None:
                each.force_exit = each.should_exit
                each.should_exit = True

    for each in (signal.SIGTERM, signal.SIGINT):
        signal.signal(each, stop)
    consumer = make_worker()
    gc.collect()
    gc.freeze()  # what is loaded now stays: walking it at each collection cost as much as half a batch of entries
    consumer.start()
    _sweep_up_what_the_last_run_left()
    try:
        asyncio.run(_run(server, listener, consumer, ready, home, plain))
    finally:
        consumer.stop(graceful=True)
        reckoner.close()


def _sweep_up_what_the_last_run_left() -> None:
    for each in (sweep, keep_safe):
        try:
            each()
        except Exception:  # the queue is away (Redis down): entries are taken all the same
            log.exception("The queue could not be reached; this house works by itself")
            each.call_local()


async def _run(
    server: uvicorn.Server,
    listener: socket.socket,
    consumer: Any,
    ready: Callable[[], None],
    home: AtHome | None,
    plain: uvicorn.Server | None,
) -> None:
    beside = [asyncio.create_task(_beside(server, consumer, ready))]
    if home is not None and plain is not None:
        beside += [
            asyncio.create_task(plain.serve(sockets=[home.plain_listener])),
            asyncio.create_task(_look_after_home(server, home)),
        ]
    try:
        await server.serve(sockets=[listener])
    finally:
        for each in beside:
            each.cancel()


async def _look_after_home(server: uvicorn.Server, home: AtHome) -> None:
    """A house that is never stopped renews its certificate too: new connections are shown the new one, and those that
    are open stay so."""
    while True:
        await asyncio.sleep(LOOK_AFTER_HOME_EVERY_SECONDS)
        try:
            if await asyncio.to_thread(home.look_after) and server.config.ssl is not None:
                server.config.ssl.load_cert_chain(home.certificate, home.key)
        except Exception:
            log.exception("The house's certificate and name could not be looked after; it is tried again")


async def _beside(server: uvicorn.Server, consumer: Any, ready: Callable[[], None]) -> None:
    while not server.started:
        await asyncio.sleep(0.02)
    ready()
    while True:
        await asyncio.sleep(HEALTH_EVERY_SECONDS)
        try:
            consumer.check_worker_health()  # start() alone never looks
        except Exception:
            log.exception("The worker could not be looked after; it is tried again")
