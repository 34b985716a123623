"""The server that the faults happen to: the yard's own, told by a header where to be killed.

Run as `python -m tests.bench.phone_server PORT` in a process group of its own; `kill -9` takes all of it.
"""

import os
import signal
import sys
import threading

HEADER = "HTTP_X_FAULT"
asked = threading.local()


def kill() -> None:
    """What `kill -9` or a power cut does: no more code runs, neither here nor in the process that started this."""
    os.killpg(os.getpgrp(), signal.SIGKILL)


def application(environ, start_response):
    """Django, and after its answer is made, and so what it kept is committed, the kill that was asked for."""
    asked.fault = environ.get(HEADER, "")
    answer = DJANGO(environ, start_response)
    if asked.fault == "kill after commit":
        kill()
    return answer


def kill_before_commit() -> None:
    """Let the receipt's insert be the last thing that a request marked so ever does: within its transaction."""
    from yard.models import PhoneRecord

    save = PhoneRecord.save

    def saved(self, *args, **kwargs):
        save(self, *args, **kwargs)
        if getattr(asked, "fault", "") == "kill before commit":
            kill()

    PhoneRecord.save = saved


def main(port: int) -> None:
    global DJANGO
    from yard.config.wsgi import application as django_application
    from yard.serving import house_server

    DJANGO = django_application
    kill_before_commit()
    options = house_server.options(bind=f"127.0.0.1:{port}", workers=1, threads=8)
    options["errorlog"] = os.devnull
    house_server.HouseServer(application, options).run()


if __name__ == "__main__":
    main(int(sys.argv[1]))
