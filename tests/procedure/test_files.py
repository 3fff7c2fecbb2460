"""Procedure files that are wrong: every fault is told with its place, and nothing else ever comes out."""

from __future__ import annotations

import random
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ropewright.catalogue import load_catalogue
from ropewright.procedure import Procedure, read_procedure
from ropewright.procedure.reader import ENDING
from ropewright.rig import RigFileError

FILES = Path(__file__).parent / "files"
INVALID = sorted(FILES.glob(f"*{ENDING}"))
SHIPPED = Path(__file__).parents[2] / "examples" / "procedures" / f"ascent-to-descent{ENDING}"
CATALOGUE = load_catalogue()

STEPS = """
procedure: {title}
from: lane.rig.yaml
steps:
{steps}
"""


def test_there_are_files() -> None:
    assert len(INVALID) >= 18


@pytest.mark.parametrize("path", INVALID, ids=lambda path: path.name.removesuffix(ENDING))
def test_an_invalid_file_is_refused_with_every_fault_and_its_place(path: Path) -> None:
    with pytest.raises(RigFileError) as refused:
        read_procedure(path, CATALOGUE)
    found = "".join(f"{fault}\n" for fault in refused.value.faults)
    assert found == Path(str(path).removesuffix(ENDING) + ".txt").read_text("utf-8")
    assert all(line.isprintable() for line in str(refused.value).splitlines())
    lines = path.read_text("utf-8").count("\n") + 1
    assert all(1 <= fault.line <= lines for fault in refused.value.faults)


def read(text: str, folder: Path) -> Procedure | RigFileError:
    """What a procedure file with this text, beside the test's rig file, reads as."""
    for rig in FILES.glob("*.rig.yaml"):
        (folder / rig.name).write_text(rig.read_text("utf-8"), "utf-8")
    (folder / f"own{ENDING}").write_text(text, "utf-8", errors="surrogatepass")
    try:
        return read_procedure(folder / f"own{ENDING}", CATALOGUE)
    except RigFileError as error:
        return error


def test_a_file_without_a_fault_reads_whole(tmp_path: Path) -> None:
    got = read(STEPS.format(title="Right", steps="  - student: lock off descender"), tmp_path)
    assert isinstance(got, Procedure)
    assert [(s.doer, s.verb, s.gear, s.line) for s in got.steps] == [("student", "lock-off", "descender", 5)]


def test_a_huge_file_is_refused_in_one_line(tmp_path: Path) -> None:
    steps = "\n".join("  - student: check descender" for _ in range(200_000))
    got = read(STEPS.format(title="Huge", steps=steps), tmp_path)
    assert isinstance(got, RigFileError)
    assert len(got.faults) == 1
    assert len(str(got)) < 300


def test_a_step_longer_than_any_line_is_refused_without_being_printed_whole(tmp_path: Path) -> None:
    got = read(STEPS.format(title="Long", steps=f"  - student: lock off {'x' * 5000}"), tmp_path)
    assert isinstance(got, RigFileError)
    assert len(str(got)) < 400


@pytest.mark.parametrize("words", [".", "...", " . ", "", "\u00a0"])
def test_a_step_without_a_word_is_refused(words: str, tmp_path: Path) -> None:
    got = read(STEPS.format(title="Empty", steps=f'  - student: "{words}"'), tmp_path)
    assert isinstance(got, RigFileError)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.text(max_size=80), st.text(max_size=80))
def test_whatever_stands_in_a_step_only_a_file_fault_comes_out(doer: str, words: str) -> None:
    text = STEPS.format(title="Any", steps=f"  - {doer!r}: {words!r}")
    with tempfile.TemporaryDirectory() as folder:
        got = read(text, Path(folder))
    if isinstance(got, RigFileError):
        assert all(line.isprintable() for line in str(got).splitlines())


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**32))
def test_a_shipped_file_damaged_anywhere_is_read_or_refused(seed: int) -> None:
    rng = random.Random(seed)
    text = SHIPPED.read_text("utf-8").replace("lane-on-clamps.rig.yaml", "lane.rig.yaml")
    for _ in range(rng.randrange(1, 6)):
        a = rng.randrange(len(text))
        b = min(len(text), a + rng.choice((0, 1, 1, 5, 40)))
        text = (
            text[:a]
            + rng.choice(("", ":", "[", "- ", "\t", "'", "{", "9", "\n", "&a ", "\0", "é"))
            + text[b:]
        )
    with tempfile.TemporaryDirectory() as folder:
        assert isinstance(read(text, Path(folder)), Procedure | RigFileError)
