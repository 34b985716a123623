"""The faults between a phone and the yard, each tried as it happens."""

import resource
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import timedelta

from tests.bench.phone_client import NoSignal, Phone
from tests.bench.phone_yard import CUTS, KILLS, LOCKED_S, REPLAYS, Yard, send_until_empty

# ---- The faults. Each takes a yard, and gives back the phones that wrote things down.


def cut(when: str) -> Callable[[Yard], list[Phone]]:
    def fault(yard: Yard) -> list[Phone]:
        phones = []
        for _ in range(CUTS):
            phone = yard.phone()
            yard.write_down(phone)
            phone.cut(when)
            phones.append(phone)
        for phone in phones:
            send_until_empty(yard, phone)
        return phones

    return fault


def killed(when: str) -> Callable[[Yard], list[Phone]]:
    def fault(yard: Yard) -> list[Phone]:
        phones = []
        for _ in range(KILLS):
            phone = yard.phone()
            yard.write_down(phone)
            with suppress(NoSignal):
                phone.send(fault=when)
            yard.start_again_if_killed()
            send_until_empty(yard, phone)
            phones.append(phone)
        return phones

    return fault


def replayed(yard: Yard) -> list[Phone]:
    """All of it sent again, a thousand times, by four senders at once."""
    phone = yard.phone()
    yard.write_down(phone)
    phone.session()
    body, left, errors = phone.message(), iter(range(REPLAYS)), []
    lock = threading.Lock()

    def replay() -> None:
        while True:
            with lock:
                if next(left, None) is None:
                    return
            try:
                status, _ = phone._post(body, "")
                if status != 200:
                    errors.append(status)
            except NoSignal as error:
                errors.append(error)

    threads = [threading.Thread(target=replay) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    if errors:
        raise RuntimeError(f"{len(errors)} replays were not answered: {errors[0]}")
    send_until_empty(yard, phone)
    return [phone]


def two_tabs(yard: Yard) -> list[Phone]:
    """Two tabs with the same queue send at the same moment."""
    phones = []
    for _ in range(CUTS):
        phone = yard.phone()
        yard.write_down(phone)
        phone.session()
        body, gate = phone.message(), threading.Barrier(2)

        def tab(phone=phone, body=body, gate=gate) -> None:
            gate.wait()
            with suppress(NoSignal):
                phone._post(body, "")

        threads = [threading.Thread(target=tab) for _ in range(2)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        send_until_empty(yard, phone)
        phones.append(phone)
    return phones


def logged_out(yard: Yard) -> list[Phone]:
    """The session ends while records wait; the person logs in again, and the queue goes on."""
    from django.contrib.sessions.models import Session
    from django.test import Client

    phone = yard.phone()
    yard.write_down(phone)
    phone.session()
    Session.objects.all().delete()
    for _ in range(3):
        if phone.send():
            raise RuntimeError("a stranger's records were taken")
    client = Client()
    client.force_login(yard.person, backend="django.contrib.auth.backends.ModelBackend")
    yard.cookies = {name: morsel.value for name, morsel in client.cookies.items()}
    phone.cookies = dict(yard.cookies)
    send_until_empty(yard, phone)
    return [phone]


def token_rotated(yard: Yard) -> list[Phone]:
    """The token that the page holds is no longer the cookie's."""
    phones = []
    for broken in ("x" * 64, ""):
        phone = yard.phone()
        yard.write_down(phone)
        phone.session()
        if broken:
            phone.token = broken
        phone.cookies.pop("slabwright_csrf", None)
        if phone.send():
            raise RuntimeError("records with a wrong token were taken")
        send_until_empty(yard, phone)
        phones.append(phone)
    return phones


def clock_wrong(yard: Yard) -> list[Phone]:
    """A phone whose clock is a day ahead, and one a day behind."""
    phones = [yard.phone(timedelta(days=1)), yard.phone(timedelta(days=-1))]
    for phone in phones:
        yard.write_down(phone)
        send_until_empty(yard, phone)
        _both_times_are_kept(phone)
    return phones


def _both_times_are_kept(phone: Phone) -> None:
    from yard.models import PhoneRecord, Weighing

    for record in phone.written:
        receipt = PhoneRecord.objects.get(client_key=record["key"])
        if receipt.made_at.isoformat() != record["made_at"]:
            raise RuntimeError("the phone's time was not kept")
        kept = Weighing.objects.filter(client_key=record["key"]).first()
        if kept is not None and abs(kept.made_at - receipt.received_at) > timedelta(minutes=2):
            raise RuntimeError("the wrong clock was believed")


def database_locked(yard: Yard) -> list[Phone]:
    """Something else holds the database, for longer than the server waits, then lets go."""
    from django.db import connection

    phone = yard.phone()
    yard.write_down(phone)
    phone.session()
    with _locked(connection):
        tries = threading.Thread(target=_try_once, args=(phone,))
        tries.start()
        tries.join(LOCKED_S)
    tries.join()
    send_until_empty(yard, phone)
    return [phone]


def _try_once(phone: Phone) -> None:
    with suppress(NoSignal):
        phone.send()


@contextmanager
def _locked(connection) -> Iterator[None]:
    from django.db import transaction

    with transaction.atomic():
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("LOCK TABLE yard_phonerecord, yard_weighing IN ACCESS EXCLUSIVE MODE")
        yield  # on SQLite the transaction holds the one lock of writers by itself


def disk_full(yard: Yard) -> list[Phone]:
    """The server may write no more; then there is room again."""
    from django.db import connection

    phone = yard.phone()
    yard.write_down(phone)
    phone.session()
    with _no_room(yard, connection):
        for _ in range(3):
            with suppress(NoSignal):
                if phone.send():
                    raise RuntimeError("a server without room said that it had kept something")
    yard.start_again_if_killed()
    send_until_empty(yard, phone)
    return [phone]


@contextmanager
def _no_room(yard: Yard, connection) -> Iterator[None]:
    """SQLite's own files may not grow; PostgreSQL answers as it does when its disk is full (SQLSTATE 53100)."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(
                "CREATE FUNCTION no_room() RETURNS trigger AS $$ BEGIN RAISE EXCEPTION 'could not extend file: "
                "No space left on device' USING ERRCODE = '53100'; END $$ LANGUAGE plpgsql;"
                "CREATE TRIGGER no_room BEFORE INSERT ON yard_phonerecord FOR EACH ROW EXECUTE FUNCTION no_room();"
            )
        try:
            yield
        finally:
            with connection.cursor() as cursor:
                cursor.execute("DROP TRIGGER no_room ON yard_phonerecord; DROP FUNCTION no_room();")
        return
    soft, hard = resource.RLIM_INFINITY, resource.RLIM_INFINITY
    for pid in yard.workers():
        resource.prlimit(pid, resource.RLIMIT_FSIZE, (1, hard))
    try:
        yield
    finally:
        for pid in yard.workers():
            resource.prlimit(pid, resource.RLIMIT_FSIZE, (soft, hard))


FAULTS: dict[str, Callable[[Yard], list[Phone]]] = {
    "request cut before all of it was sent": cut("before"),
    "request cut while the server works": cut("during"),
    "answer cut after the commit": cut("after"),
    "server killed within the transaction": killed("kill before commit"),
    "server killed between commit and answer": killed("kill after commit"),
    f"queue replayed {REPLAYS:,} times by four at once": replayed,
    "two tabs sending at once": two_tabs,
    "session expired": logged_out,
    "token rotated": token_rotated,
    "clock wrong by a day": clock_wrong,
    "database locked": database_locked,
    "disk full on the server": disk_full,
}
