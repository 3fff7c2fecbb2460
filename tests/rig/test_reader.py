"""Reading: what a source may be, and what is said of one that can't be used."""

import json
import os
from pathlib import Path

import pytest

from ropewright.errors import RopewrightError
from ropewright.quantity import Range
from ropewright.rig import Contact, Fault, RigFileError, read_rig, write_rig
from ropewright.rig.yamltext import MOST_BYTES

SMALL = """
rig: Small
points: {a: {kind: anchor, at: [0, 5]}}
loads: {w: {kind: object, mass: 50, at: [0, 1]}}
ropes:
  m:
    is: cord-8
    run:
      - tie a with bowline
      - tie w slack 0.5
"""


def faults_of(source: Path | str | bytes) -> tuple[Fault, ...]:
    with pytest.raises(RigFileError) as refused:
        read_rig(source)
    return refused.value.faults


def test_a_path_is_a_file_and_words_are_the_text(tmp_path: Path) -> None:
    path = tmp_path / "small.rig.yaml"
    path.write_text(SMALL, "utf-8")
    assert read_rig(path) == read_rig(SMALL) == read_rig(SMALL.encode())


def test_every_part_knows_its_line() -> None:
    rig = read_rig(SMALL)
    assert rig.points["a"].line == 3
    assert rig.loads["w"].line == 4
    assert rig.ropes["m"].line == 6
    assert [contact.line for contact in rig.ropes["m"].run] == [9, 10]


def test_a_contact_keeps_its_words() -> None:
    tie, end = read_rig(SMALL).ropes["m"].run
    assert tie == Contact("tie", "a", knot="bowline")
    assert end == Contact("tie", "w", slack=0.5)
    assert end.text == "tie w slack 0.5"


def test_lines_and_wording_do_not_count_for_equality() -> None:
    assert read_rig(SMALL) == read_rig("\n\n\n" + SMALL.replace("tie w slack", "tie   w   slack"))
    assert read_rig(SMALL) != read_rig(SMALL.replace("50", "51"))


def test_clipped_gear_has_one_locking_carabiner_unless_said_otherwise() -> None:
    gear = "p: {is: plate, at: a}, q: {is: plate, at: a, via: []}, r: {is: plate, at: a, via: [sling]}"
    rig = read_rig(f"{SMALL}gear: {{{gear}}}")
    assert [rig.gear[name].via for name in "pqr"] == [("carabiner-locking",), (), ("sling",)]


def test_a_pull_may_be_named_and_is_written_by_its_name() -> None:
    crew = "crews: {team: {at: [0, 1], pull: PULL}}\n"
    rig = read_rig(SMALL + crew.replace("PULL", "hauler-best-case"))
    assert rig.crews["team"].pull == Range.exactly(222.0)
    assert "pull: hauler-best-case" in write_rig(rig)
    (fault,) = faults_of(SMALL + crew.replace("PULL", "best-case"))
    assert "use a force, or one of hauler-best-case, hauler-sustained, grip-one-hand" in fault.text


def test_a_section_with_every_line_commented_out_is_as_good_as_left_out() -> None:
    assert read_rig(SMALL + "crews:\n  # nobody yet\ngear:\npolicy:\n") == read_rig(SMALL)


@pytest.mark.parametrize(
    ("data", "text"),
    [
        (b"\x00\x01\x02rig: x", "this is no text (it holds zero bytes); a rig file is YAML text in UTF-8"),
        (SMALL.encode("utf-16"), "this is no text (it holds zero bytes); a rig file is YAML text in UTF-8"),
        (b"rig: caf\xe9\n", "found a byte (0xe9) that is no UTF-8; save the file as UTF-8"),
        (b"\xff" * 50, "found a byte (0xff) that is no UTF-8; save the file as UTF-8"),
        (b"", "the file is empty; a rig file starts with `rig:` and a title"),
        (b"rig: x\n" * 2_000_000, "more than 1,000 kB; a rig file holds one rig"),
    ],
)
def test_bytes_that_are_no_rig_file_get_one_clear_fault(data: bytes, text: str, tmp_path: Path) -> None:
    path = tmp_path / "x.yaml"
    path.write_bytes(data)
    assert [fault.text for fault in faults_of(path)] == [text]
    assert [fault.text for fault in faults_of(data)] == [text]
    assert path.read_bytes() == data


def test_the_byte_that_is_no_utf8_has_its_place() -> None:
    (fault,) = faults_of(b"rig: x\nabout: caf\xe9\n")
    assert (fault.line, fault.column) == (2, 11)


def test_half_a_surrogate_pair_is_no_text() -> None:
    (fault,) = faults_of("rig: \ud800\n")
    assert fault.text == "found a byte (0xed) that is no UTF-8; save the file as UTF-8"


def test_a_file_of_just_the_most_bytes_is_read() -> None:
    assert read_rig(SMALL + "#" * (MOST_BYTES - len(SMALL))) == read_rig(SMALL)
    assert len(faults_of(SMALL + "#" * (MOST_BYTES - len(SMALL) + 1))) == 1


def test_a_folder_is_refused(tmp_path: Path) -> None:
    (fault,) = faults_of(tmp_path)
    assert fault.text == "this is a folder; name a rig file, as in `lower.rig.yaml`"


def test_a_pipe_is_refused_without_waiting(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    (fault,) = faults_of(pipe)
    assert fault.text == "this is no ordinary file; name a rig file, as in `lower.rig.yaml`"


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    (fault,) = faults_of(tmp_path / "lost.yaml")
    assert fault.text == "there is no such file; check the name"


def test_a_name_that_can_be_no_file_is_told() -> None:
    (fault,) = faults_of(Path("x\0y"))
    assert fault.text.startswith("the file can't be read: ")
    (fault,) = faults_of(Path("x" * 5000))
    assert fault.text == "the file can't be read: File name too long"


def test_a_file_that_may_not_be_read_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "x.yaml"
    path.write_text(SMALL, "utf-8")

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    (fault,) = faults_of(path)
    assert fault.text == "the file may not be read; ask its owner for permission"


def test_the_error_is_one_of_ours_and_names_the_file(tmp_path: Path) -> None:
    path = tmp_path / "x.yaml"
    path.write_text("rig: 12\n", "utf-8")
    with pytest.raises(RopewrightError) as refused:
        read_rig(path)
    assert str(refused.value).splitlines() == [
        f"{path}: line 1, column 1: a rig has at least one rope under `ropes`",
        f"{path}: line 1, column 6: rig: found the number 12 where words are wanted; put it in quotes",
    ]


@pytest.mark.parametrize(
    "words",
    [
        "<script>alert('x')</script>",
        '"; DROP TABLE rigs; --',
        "../../etc/passwd",
        "{{ 7 * 7 }} ${7*7} %s %n",
        "שלום עולם",
        "😀" * 50,
    ],
)
def test_odd_words_are_kept_as_they_are(words: str) -> None:
    assert read_rig(f"about: {json.dumps(words, ensure_ascii=False)}\n{SMALL}").about == words


HIDDEN = [0x00, 0x07, 0x1B, 0x7F, 0x85, 0x9B, 0x200F, 0x202E, 0x2028, 0x2066, 0xFEFF, 0xFFFF]


@pytest.mark.parametrize("code", HIDDEN)
@pytest.mark.parametrize("where", ['about: "x\\u{:04x}y"', '"x\\u{:04x}y": 1'])
def test_hidden_characters_are_never_echoed(code: int, where: str) -> None:
    (fault,) = faults_of(f"{where.format(code)}{SMALL}")
    assert fault.line == 1
    assert str(fault).isprintable()


@pytest.mark.parametrize("code", HIDDEN[1:])
def test_hidden_characters_in_the_raw_text_have_their_place(code: int) -> None:
    (fault,) = faults_of(f"{SMALL}# note\n# a {chr(code)}\n")
    assert (fault.line, fault.column) == (12, 5)
    assert f"U+{code:04X}" in fault.text
    assert fault.text.isprintable()


def test_hidden_characters_in_names_types_and_figures_are_never_echoed() -> None:
    text = SMALL
    for old, new in (
        ("cord-8", '"cord\\e[8m"'),
        ("mass: 50", 'mass: "50\\e[1m"'),
        ("at: [0, 5]", 'at: ["\\b", 5]'),
    ):
        text = text.replace(old, new)
    faults = faults_of(text)
    assert len(faults) == 3
    assert all(str(fault).isprintable() for fault in faults)


@pytest.mark.parametrize("number", ["9" * 400, "0x" + "F" * 4000])
def test_a_number_that_no_figure_can_be_is_told_short(number: str) -> None:
    text = (
        f"rig: T\ncrews: {{c: {{at: [0, 0], people: {number}}}}}\nropes: {{}}\npolicy: {{chains: {number}}}\n"
    )
    with pytest.raises(RigFileError) as refused:
        read_rig(text)
    told = {fault.path: fault.text for fault in refused.value.faults}
    for path in ("crews.c.people", "policy.chains"):
        assert told[path].startswith("found a number of more than 300 digits; ")


def test_what_joins_gear_may_lie_over_an_edge() -> None:
    text = """rig: Sling over a girder
points:
  beam: {kind: anchor, at: [0, 9]}
  lip: {kind: edge, at: [0, 8.8], surface: steel}
loads:
  weight: {kind: object, mass: 100, at: [0, 1]}
crews: {deck: {at: [2, 0]}}
gear:
  p: {is: pulley-single, at: beam, via: [sling], over: [lip]}
ropes:
  main: {is: rope-11-low-stretch, run: [tie weight, through p, hand deck]}
"""
    rig = read_rig(text)
    assert rig.gear["p"].over == ("lip",)
    assert read_rig(write_rig(rig)) == rig
    with pytest.raises(RigFileError, match="`beam` is no edge"):
        read_rig(text.replace("over: [lip]", "over: [beam]"))
    with pytest.raises(RigFileError, match="Did you mean `lip`"):
        read_rig(text.replace("over: [lip]", "over: [lop]"))
    with pytest.raises(RigFileError, match="nothing joins `p` to its place"):
        read_rig(text.replace("via: [sling]", "via: []"))


def test_a_flood_of_faults_is_counted_behind_the_first_hundred() -> None:
    with pytest.raises(RigFileError) as refused:
        read_rig("rig: x\n" + "".join(f"k{number}: 1\n" for number in range(2000)))
    assert len(refused.value.faults) == 2001
    lines = str(refused.value).splitlines()
    assert len(lines) == 101
    assert lines[-1] == "rig file: and 1,901 more"
