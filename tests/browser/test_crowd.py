"""Twenty people who write at once, each in a rig of their own: nobody gets an error or another's answer."""

from __future__ import annotations

import http.client
import json
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlencode, urlsplit

from ropewright.web.demo import PASSWORD

PEOPLE, WORDS = 20, 1
STAGES = ("first", "picture", "whole")
RIG = Path(__file__).parents[2] / "examples" / "haul-2-1.rig.yaml"
FORM = "application/x-www-form-urlencoded"


@dataclass
class Writer:
    """Somebody who is signed in, on a connection of their own."""

    call: http.client.HTTPConnection
    cookie: str
    token: str

    def asks(self, text: str, stage: str, n: str) -> dict[str, Any]:
        """What the editor asks of the server after a word."""
        form = {"text": text, "stage": stage, "n": n, "csrfmiddlewaretoken": self.token}
        headers = {"Cookie": self.cookie, "Content-Type": FORM, "Accept": "application/json"}
        self.call.request("POST", "/rigs/live/", urlencode(form), headers)
        answer = self.call.getresponse()
        body = answer.read()
        assert answer.status == 200, (answer.status, body[:300])
        found: dict[str, Any] = json.loads(body)
        return found


@contextmanager
def writer(server: str) -> Iterator[Writer]:
    """Sign in as the lead instructor, in a session of its own."""
    place = urlsplit(server)
    with closing(http.client.HTTPConnection(place.hostname or "", place.port, timeout=60)) as call:
        call.request("GET", "/sign-in/")
        token = _cookies(call)["csrftoken"]
        form = urlencode({"username": "ines", "password": PASSWORD, "csrfmiddlewaretoken": token})
        call.request("POST", "/sign-in/", form, {"Cookie": f"csrftoken={token}", "Content-Type": FORM})
        cookies = {"csrftoken": token} | _cookies(call)
        pairs = "; ".join(f"{key}={value}" for key, value in cookies.items())
        yield Writer(call, pairs, cookies["csrftoken"])


def _cookies(call: http.client.HTTPConnection) -> dict[str, str]:
    answer = call.getresponse()
    answer.read()
    told = (value.split(";")[0] for key, value in answer.getheaders() if key == "Set-Cookie")
    return dict(pair.split("=", 1) for pair in told)


def written(person: int, word: int) -> str:
    """The rig with a load of this person's own."""
    text = RIG.read_text("utf-8")
    before = text.splitlines()[line_of_mass(text)]
    after = before.replace("mass: 100,", f"mass: {60 + person}.{word + 1},")
    assert after != before
    return text.replace(before, after)


def line_of_mass(text: str) -> int:
    """Where the mass stands."""
    return next(k for k, line in enumerate(text.splitlines()) if "mass: 100," in line)


def test_twenty_people_write_at_once(server: str) -> None:
    together = threading.Barrier(PEOPLE)

    def writes(person: int) -> list[dict[str, Any]]:
        with writer(server) as who:
            together.wait(60)
            answers = []
            for word in range(WORDS):
                for stage in STAGES:
                    found = who.asks(written(person, word), stage, f"{person}-{word}")
                    assert found["n"] == f"{person}-{word}"
                answers.append(found)
            return answers

    with ThreadPoolExecutor(PEOPLE) as pool:
        seen = list(pool.map(writes, range(PEOPLE)))
    assert all(answer["whole"] and answer["usable"] for answers in seen for answer in answers)
    assert len({answers[-1]["verdict"] for answers in seen}) == PEOPLE  # each load has forces of its own
    with writer(server) as alone:
        for person in (0, 7, 19):
            again = alone.asks(written(person, WORDS - 1), "whole", "")
            assert again["said"] == seen[person][-1]["said"]
            assert again["verdict"] == seen[person][-1]["verdict"]
