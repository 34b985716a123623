"""The server for the house: gunicorn with the yard's settings, and the processes that run beside it."""

import os
import signal
from collections.abc import Callable
from typing import Any

from gunicorn.app.base import BaseApplication

WORKERS, THREADS = 2, 4
SECONDS_TO_ANSWER = 120  # a large import or a PDF of six hundred labels
LONGEST_REQUEST_LINE = 8190  # labels of a long list name their things in the address


class HouseServer(BaseApplication):
    """gunicorn as the yard wants it."""

    def __init__(self, application: Callable, options: dict[str, Any]) -> None:
        self.application, self.options = application, options
        super().__init__()

    def load_config(self) -> None:
        for name, value in self.options.items():
            self.cfg.set(name, value)

    def load(self) -> Callable:
        return self.application


def options(*, bind: str, workers: int, threads: int, tls: tuple[str, str] | None = None) -> dict[str, Any]:
    """What gunicorn is told."""
    chosen: dict[str, Any] = {
        "bind": bind, "workers": workers, "threads": threads, "worker_class": "gthread", "timeout": SECONDS_TO_ANSWER,
        "graceful_timeout": 20, "keepalive": 15, "limit_request_line": LONGEST_REQUEST_LINE, "proc_name": "slabwright",
        "loglevel": "warning", "control_socket_disable": True,
    }  # fmt: skip
    if tls is not None:
        # Read anew with every connection: a renewed certificate serves without a restart.
        chosen |= {"certfile": tls[0], "keyfile": tls[1]}
    return chosen


def beside(target: Callable[..., None], **arguments: Any) -> int:
    """Run something in a process of its own, told who started it so that it ends with it. Returns its id.

    A plain fork: gunicorn's workers would end a `multiprocessing` process that they inherited when they exit.
    """
    parent = os.getpid()
    pid = os.fork()
    if pid:
        return pid
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C goes to all; this one ends when its parent has ended
    try:
        target(parent=parent, **arguments)
    finally:
        os._exit(0)
