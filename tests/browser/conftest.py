"""A real server with the demo in it, and a real headless browser: each page is opened as a person opens it.

Run by themselves (`pytest tests/browser`): the server is a process of its own, as `make run` starts it. Each
file of tests has a store of its own and sees nothing of what another left. Every page fails its test if the
console prints an error, a script throws, or the content policy refuses something.
"""

from __future__ import annotations

import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import date, datetime
from pathlib import Path
from typing import Literal
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Page, sync_playwright

from ropewright.web.demo import PASSWORD
from tests.homes import home_made_once, own_home

Size = Literal["desk", "phone"]
Scheme = Literal["light", "dark"]
SIZES: dict[Size, tuple[int, int]] = {"desk": (1280, 800), "phone": (390, 844)}
PROGRAMS = ("/usr/bin/chromium-headless-shell", "/usr/bin/chromium")
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PageAs = Callable[..., Page]


def today() -> date:
    """The day that it is by the clock of the demo's team."""
    return datetime.now(ZoneInfo("America/Halifax")).date()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with the walk over every page, which takes longest: the other files fill the time beside it."""
    items.sort(key=lambda item: item.path.name != "test_every_page.py")


@pytest.fixture(scope="session")
def demo_home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that a server filled with the demo and left; all processes of a run share it, to copy."""

    def fill(home: Path) -> None:
        with _serving(home):
            pass

    return home_made_once(tmp_path_factory, "demo", fill)


@pytest.fixture(scope="module")
def server(demo_home: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a server on a copy of the demo; one for each file of tests."""
    home = tmp_path_factory.mktemp("served") / "home"
    shutil.copytree(demo_home, home)
    with _serving(home) as address:
        yield address


@contextmanager
def _serving(home: Path) -> Iterator[str]:
    """Serve a folder, filled with the demo if it is new, and give the address."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    told = ["serve", "--home", str(home), "--port", str(port), "--demo"]
    command = [sys.executable, "-m", "ropewright.cli", *told]
    log = (home.parent / "server.log").open("w+")
    process = subprocess.Popen(command, env=own_home(home), stdout=log, stderr=subprocess.STDOUT)
    address = f"http://127.0.0.1:{port}"
    try:
        _wait_for(address, process, Path(log.name))
        yield address
    finally:
        process.terminate()
        with suppress(subprocess.TimeoutExpired):
            process.wait(20)
        process.kill()
        log.close()


def _wait_for(address: str, process: subprocess.Popen[bytes], log: Path) -> None:
    until = time.monotonic() + 90
    while time.monotonic() < until:
        if process.poll() is not None:
            break
        with suppress(OSError), urllib.request.urlopen(f"{address}/health", timeout=5):
            return
        time.sleep(0.2)
    pytest.fail(f"the server did not start; it said:\n{log.read_text()}")


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """A headless browser from Debian's packages."""
    program = next((p for p in PROGRAMS if shutil.which(p)), None)
    if program is None:
        pytest.fail(f"no browser: none of {', '.join(PROGRAMS)} is there; `make test` installs one")
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=program, args=ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def signed_in(chromium: Browser, server: str) -> Callable[[str], list[dict[str, object]]]:
    """The cookies of somebody who signed in once by the form."""
    kept: dict[str, list[dict[str, object]]] = {}

    def cookies(name: str) -> list[dict[str, object]]:
        if name not in kept:
            context = chromium.new_context(base_url=server)
            page = context.new_page()
            page.goto("/sign-in/")
            page.locator("input[name=username]").fill(name)
            page.locator("input[name=password]").fill(PASSWORD)
            page.get_by_role("button", name="Sign in").click()
            page.wait_for_url("**/today/")
            kept[name] = list(context.cookies())  # type: ignore[arg-type]
            context.close()
        return kept[name]

    return cookies


@pytest.fixture
def page_as(
    chromium: Browser, server: str, signed_in: Callable[[str], list[dict[str, object]]]
) -> Iterator[PageAs]:
    """Make a page for somebody of the demo, at a size, light or dark; errors on its console fail the test."""
    said: list[str] = []
    contexts = []

    def make(
        name: str | None = "ines",
        size: Size = "desk",
        scheme: Literal["light", "dark"] = "light",
        quiet: bool = True,
    ) -> Page:
        width, height = SIZES[size]
        context = chromium.new_context(
            base_url=server,
            viewport={"width": width, "height": height},
            color_scheme=scheme,
            has_touch=size == "phone",
            accept_downloads=True,
        )
        contexts.append(context)
        if name is not None:
            context.add_cookies(signed_in(name))  # type: ignore[arg-type]
        page = context.new_page()
        page.set_default_timeout(20_000)
        if quiet:
            page.on("console", lambda m: said.append(f"{page.url}: {m.text}") if _is_fault(m) else None)
            page.on("pageerror", lambda error: said.append(f"{page.url}: {error}"))
        return page

    yield make
    for context in contexts:
        context.close()
    assert not said, "the console said:\n" + "\n".join(said)


def _is_fault(message: ConsoleMessage) -> bool:
    """Whether the console says an error; a form that is refused is none, though a browser prints its 422."""
    return message.type == "error" and "status of 422" not in message.text


def until(page: Page, expression: str, seconds: float = 20.0) -> None:
    """Wait until an expression is true in the page. (Playwright's own wait needs `eval`, which we forbid.)"""
    end = time.monotonic() + seconds
    while not page.evaluate(expression):
        assert time.monotonic() < end, f"still not true after {seconds} s: {expression}"
        page.wait_for_timeout(50)


def fits(page: Page) -> bool:
    """Whether nothing has to be scrolled to sideways: neither in the page nor in a table whose rows stack."""
    return bool(
        page.evaluate(
            """[document.documentElement, ...document.querySelectorAll(".wide:has(> .stacks)")]
            .every((each) => each.scrollWidth <= each.clientWidth)"""
        )
    )
