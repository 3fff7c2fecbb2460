"""Kills the server with signal 9 while people save, again and again, and looks whether anything was lost.

    python -m tests.web.storing.kills --times 1000

Eight writers save rigs over HTTP. At random moments every process that answers is killed: mostly
the workers, which are those that write, and each twentieth time the whole server. After each death of the
server the store is opened and looked at: it is sound, every save that was acknowledged stands in it letter by
letter, and no save stands there in part. Ends with 1 at the first loss.
"""

from __future__ import annotations

import argparse
import http.client
import json
import os
import random
import signal
import socket
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
import uuid
from contextlib import closing, suppress
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

from ropewright.web.demo import PASSWORD

__all__ = ["Report", "kill_often"]

SLUGS = ("haul-2-1", "haul-3-1", "haul-5-1", "descent-hand-on")
WRITERS = 8
EACH_LIFE = 20
"""Kills of the workers before the whole server is killed."""


class LostError(AssertionError):
    """Something that was acknowledged is not there, or something is there in part."""


@dataclass
class Report:
    """What was done: kills, whole servers among them, saves acknowledged, saves whose answer never came."""

    kills: int = 0
    servers: int = 0
    acknowledged: int = 0
    unanswered: int = 0
    opened: int = 0


@dataclass
class _Desk:
    """What the writers know: every text they sent, and which were acknowledged under which number."""

    port: int
    cookie: str
    token: str
    text: dict[str, str]
    before: set[str]
    sent: dict[str, str] = field(default_factory=dict)
    known: list[tuple[str, int, str]] = field(default_factory=list)
    unanswered: int = 0
    stop: threading.Event = field(default_factory=threading.Event)
    lock: threading.Lock = field(default_factory=threading.Lock)


def kill_often(times: int, seed: int = 1, each_life: int = EACH_LIFE, say: bool = False) -> Report:
    """Kill so many times; give what was seen. Errors: LostError.

    each_life: how many of them fall into one life of the whole server, its own death the last.
    """
    rng, report = random.Random(seed), Report()
    with tempfile.TemporaryDirectory(prefix="ropewright-kills-") as folder:
        home, port = Path(folder), _free_port()
        server = _start(home, port)
        desk = _Desk(port, *_sign_in(port), *_texts(home))
        while report.kills < times:
            if report.servers:
                server = _start(home, port)
            _life(server, desk, rng, report, min(each_life, times - report.kills))
            _look(home, desk)
            report.opened += 1
            report.acknowledged, report.unanswered = len(desk.known), desk.unanswered
            if say:
                print(
                    f"{report.kills} kills, {report.acknowledged} saves acknowledged, nothing lost",
                    flush=True,
                )
    return report


def _free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port: int = free.getsockname()[1]
        return port


def _start(home: Path, port: int) -> subprocess.Popen[bytes]:
    told = ["serve", "--home", str(home), "--port", str(port), "--demo", "--workers", "2"]
    env = {k: v for k, v in os.environ.items() if k not in ("DJANGO_SETTINGS_MODULE", "ROPEWRIGHT_DATABASE")}
    process = subprocess.Popen(
        [sys.executable, "-m", "ropewright.cli", *told],
        env=env,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    until = time.monotonic() + 120
    while time.monotonic() < until:
        with suppress(OSError, http.client.HTTPException), closing(_call(port)) as call:
            call.request("GET", "/health")
            if call.getresponse().status == 200:
                return process
        time.sleep(0.05)
    raise LostError("the server did not start again within two minutes")


def _call(port: int) -> http.client.HTTPConnection:
    return http.client.HTTPConnection("127.0.0.1", port, timeout=20)


def _sign_in(port: int) -> tuple[str, str]:
    """The cookies of a lead instructor, and the token that forms carry."""
    with closing(_call(port)) as call:
        call.request("GET", "/sign-in/")
        first = call.getresponse()
        first.read()
        token = _cookies(first)["csrftoken"]
        form = urlencode({"username": "ines", "password": PASSWORD, "csrfmiddlewaretoken": token})
        call.request("POST", "/sign-in/", form, _headers(f"csrftoken={token}"))
        answer = call.getresponse()
        answer.read()
        cookies = _cookies(answer)
        assert answer.status == 302, answer.status
        token = cookies.get("csrftoken", token)
        return f"csrftoken={token}; sessionid={cookies['sessionid']}", token


def _cookies(answer: http.client.HTTPResponse) -> dict[str, str]:
    pairs = (value.split(";")[0].split("=", 1) for key, value in answer.getheaders() if key == "Set-Cookie")
    return dict(pairs)


def _headers(cookie: str) -> dict[str, str]:
    kind = "application/x-www-form-urlencoded"
    return {"Cookie": cookie, "Content-Type": kind, "Accept": "application/json"}


def _texts(home: Path) -> tuple[dict[str, str], set[str]]:
    """The text that each rig begins with, and every text that the demo wrote."""
    with closing(sqlite3.connect(home / "ropewright.sqlite3")) as store:
        rows = store.execute(
            "SELECT r.slug, v.text FROM rigs_rigversion v JOIN rigs_rig r ON r.id = v.file_id "
            "ORDER BY v.number"
        ).fetchall()
    return {slug: text for slug, text in rows if slug in SLUGS}, {text for _, text in rows}


def _life(
    server: subprocess.Popen[bytes], desk: _Desk, rng: random.Random, report: Report, kills: int
) -> None:
    """Writers save; the workers are killed some times, then the whole server."""
    desk.stop.clear()
    writers = [threading.Thread(target=_write, args=(desk, k)) for k in range(WRITERS)]
    for writer in writers:
        writer.start()
    try:
        for _ in range(kills - 1):
            _let_some_be_saved(desk, rng)
            for pid in _children(server.pid):
                with suppress(ProcessLookupError):
                    os.kill(pid, signal.SIGKILL)
            report.kills += 1
        _let_some_be_saved(desk, rng)
    finally:
        os.killpg(server.pid, signal.SIGKILL)
        server.wait()
        report.kills += 1
        report.servers += 1
        desk.stop.set()
        for writer in writers:
            writer.join()


def _let_some_be_saved(desk: _Desk, rng: random.Random) -> None:
    """Wait until the workers are back and answer, then a random while: a kill falls anywhere in a save."""
    before, until = len(desk.known), time.monotonic() + 30
    while len(desk.known) == before and time.monotonic() < until:
        time.sleep(0.005)
    time.sleep(rng.uniform(0.0, 0.15))


def _children(pid: int) -> list[int]:
    tasks = Path(f"/proc/{pid}/task").glob("*/children")
    return [int(child) for task in tasks for child in task.read_text().split()]


def _write(desk: _Desk, k: int) -> None:
    """Save without pause until told to stop, noting what was sent and what was acknowledged."""
    slug = SLUGS[k % len(SLUGS)]
    base = 1
    while not desk.stop.is_set():
        mark = uuid.uuid4().hex
        text = f"# begin {mark}\n{desk.text[slug]}\n# end {mark}\n"
        with desk.lock:
            desk.sent[mark] = text
        form = {"text": text, "base": base, "key": mark, "csrfmiddlewaretoken": desk.token}
        try:
            with closing(_call(desk.port)) as call:
                call.request("POST", f"/rigs/{slug}/edit/save/", urlencode(form), _headers(desk.cookie))
                answer = call.getresponse()
                said = answer.read()
        except (OSError, http.client.HTTPException):
            with desk.lock:
                desk.unanswered += 1
            time.sleep(0.02)
            continue
        if answer.status == 503:  # said so, nothing was kept
            continue
        assert answer.status == 200, (answer.status, said[:300])
        told = json.loads(said)
        base = told["current"]
        with desk.lock:
            desk.known.append((slug, told["number"], mark))


def _look(home: Path, desk: _Desk) -> None:
    """Open the store and look. Errors: LostError."""
    with closing(sqlite3.connect(home / "ropewright.sqlite3")) as store:
        sound = [row[0] for row in store.execute("PRAGMA integrity_check")]
        if sound != ["ok"]:
            raise LostError(f"the store is damaged: {sound[:3]}")
        rows = store.execute(
            "SELECT r.slug, r.latest, v.number, v.text, v.beside "
            "FROM rigs_rigversion v JOIN rigs_rig r ON r.id = v.file_id"
        ).fetchall()
    there = {(slug, number): text for slug, _, number, text, _ in rows}
    for slug, number, mark in desk.known:
        if there.get((slug, number)) != _as_kept(desk.sent[mark]):
            raise LostError(f"version {number} of {slug} was acknowledged and is not there as it was sent")
    whole = {_as_kept(text) for text in desk.sent.values()} | {_as_kept(text) for text in desk.before}
    for slug, number, text in ((s, n, t) for s, _, n, t, _ in rows if s in SLUGS):
        if _as_kept(text) not in whole:
            raise LostError(f"version {number} of {slug} is there in part")
    for slug in SLUGS:
        latest = max(latest for s, latest, *_ in rows if s == slug)
        counting = max(number for s, _, number, _, beside in rows if s == slug and not beside)
        if latest != counting:
            raise LostError(f"{slug} points to version {latest}, and {counting} is the one that counts")


def _as_kept(text: str) -> str:
    return text.replace("\r\n", "\n")


def main() -> int:
    """Kill as often as is asked for."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--times", type=int, default=1000)
    words.add_argument("--seed", type=int, default=1)
    told = words.parse_args()
    try:
        report = kill_often(told.times, told.seed, say=True)
    except LostError as error:
        print(f"LOST: {error}")
        return 1
    print(report)
    return 0


if __name__ == "__main__":
    sys.exit(main())
