"""A team's own file: types added, figures replaced, every fault named at once."""

import os
from pathlib import Path

import pytest

from ropewright.catalogue import Catalogue, CatalogueError, load_catalogue
from ropewright.quantity import Range


def load(folder: Path, text: str) -> Catalogue:
    path = folder / "tern-harbor.toml"
    path.write_text(text, "utf-8")
    return load_catalogue(path)


def faults(folder: Path, text: str) -> list[str]:
    with pytest.raises(CatalogueError) as error:
        load(folder, text)
    start = f"{folder / 'tern-harbor.toml'}: "
    assert all(fault.startswith(start) for fault in error.value.faults)
    return [fault.removeprefix(start) for fault in error.value.faults]


def test_a_figure_is_replaced_and_the_rest_stays(tmp_path: Path) -> None:
    own = load(tmp_path, '[pulley-double]\nstrength = "30 kN"\nefficiency = "0.88..0.93"\n')
    figure = own.figure("pulley-double", "strength")
    assert figure.value == Range.exactly(30_000)
    assert (figure.confidence, figure.source) == ("N", "stated in tern-harbor.toml")
    assert own.figure("pulley-double", "efficiency").value == Range.between(0.88, 0.93)
    shipped = load_catalogue()
    assert own.figure("pulley-double", "mass") == shipped.figure("pulley-double", "mass")
    assert own["pulley-double"].sheaves == 2
    assert shipped.figure("pulley-double", "strength").value == Range.exactly(36_000)


def test_a_type_is_added_like_another(tmp_path: Path) -> None:
    own = load(
        tmp_path,
        '[harness-rescue]\nlike = "harness"\nsummary = "rescue harness"\nuser-mass = "140 kg"\n'
        'strength = {value = "15 kN", source = "label", note = "read at the last inspection"}\n',
    )
    added = own["harness-rescue"]
    assert (added.family, added.summary) == ("body", "rescue harness")
    assert added.figures["user-mass"].value == Range.exactly(140)
    assert added.figures["strength"].source == "label (stated in tern-harbor.toml)"
    assert added.figures["mass"] == own.figure("harness", "mass")


def test_a_new_type_leaves_the_rest_not_known(tmp_path: Path) -> None:
    own = load(tmp_path, '[pulley-triple]\nfamily = "pulley"\nsheaves = 3\nefficiency = 0.9\n')
    assert own["pulley-triple"].sheaves == 3
    assert not own.figure("pulley-triple", "strength").is_known


def test_a_known_figure_can_be_withdrawn(tmp_path: Path) -> None:
    own = load(tmp_path, '[pulley-single]\nstrength = "not known"\n')
    assert not own.figure("pulley-single", "strength").is_known


def test_a_type_may_be_like_one_that_stands_further_down(tmp_path: Path) -> None:
    own = load(
        tmp_path,
        '[x]\nlike = "y"\nmass = "2 kg"\n[y]\nlike = "harness"\nstrength = "15 kN"\n'
        '[clip]\nlike = "carabiner-locking"\n[carabiner-locking]\nstrength = "23 kN"\n',
    )
    assert own.figure("x", "strength").value == Range.exactly(15_000)
    assert own.figure("x", "mass").value == Range.exactly(2)
    assert own.figure("clip", "strength").value == Range.exactly(23_000)
    assert own["x"].family == "body"


def test_a_long_row_of_likes_is_read(tmp_path: Path) -> None:
    rows = "".join(f'[k{number}]\nlike = "k{number + 1}"\n' for number in range(3000))
    assert load(tmp_path, f'{rows}[k3000]\nlike = "harness"\n')["k0"].family == "body"


def test_the_text_tells_a_hundred_faults_and_counts_the_rest(tmp_path: Path) -> None:
    with pytest.raises(CatalogueError) as error:
        load(tmp_path, "".join(f"[k{number}]\n" for number in range(102)))
    assert len(error.value.faults) == 102
    lines = str(error.value).splitlines()
    assert len(lines) == 101
    assert lines[-1] == "and 2 more"


def test_a_pipe_is_refused_before_anybody_waits_for_it(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(CatalogueError, match="can't be read: this is a pipe; name a TOML file of gear types"):
        load_catalogue(tmp_path / "pipe")


def test_all_faults_are_named_at_once(tmp_path: Path) -> None:
    found = faults(
        tmp_path,
        '[pulley-double]\nstrenght = "30 kN"\nefficiency = 1.2\nstrength = "30 kg"\nsheaves = -1\n'
        '[gadget]\nsummary = "?"\n[clip]\nlike = "carabiner-loking"\nfamily = "join"\n'
        '[cam-grab]\nholding = ["bytes"]\nmass = {note = "?"}\nslips = {value = "7 kN", confidence = "M"}\n',
    )
    assert found[0] == (
        "[pulley-double] unknown key 'strenght'; did you mean strength?; "
        "known are family, like, summary, sheaves, holding, efficiency, strength, mass, length, user-mass"
    )
    assert found[1] == (
        "[pulley-double] 'efficiency' is 1.20; tension out over tension in, a half turn, hauling "
        "lies between 0.010 and 1.00"
    )
    assert found[2].startswith("[pulley-double] 'strength': a mass (30 kg) where a force is wanted")
    assert found[3] == "[pulley-double] 'sheaves' is a whole number from 0 to 12"
    assert found[4].startswith("[gadget] has no 'family'; give one of rope, pulley,")
    assert found[5] == "[clip] 'like' names no known type; did you mean carabiner-locking?"
    assert found[6].startswith(
        "[cam-grab] 'slips' needs a confidence; give one of T (measured in a test), S ("
    )
    assert found[7] == "[cam-grab] 'mass' has no value; give one, or \"not known\""
    assert found[8].startswith(
        "[cam-grab] 'holding' has 'bytes'; did you mean bites?; known are bites, one-way"
    )
    assert len(found) == 9


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("pulley = 3", "[pulley] found a plain value where a table is wanted, such as [pulley]"),
        (
            '["<script>"]\nfamily = "pulley"',
            "[<script>] a type's name has small letters, digits, points and dashes",
        ),
        ('[cam-grab]\nfamily = "rope"', "[cam-grab] is like cam-grab, so its family is grab, not rope"),
        ("[cam-grab]\nsummary = 3", "[cam-grab] 'summary' is a text of at most 500 characters"),
        ("[cam-grab]\nmass = nan", "[cam-grab] 'mass': found nan, which is no number"),
        ("[cam-grab]\nmass = 1e400", "[cam-grab] 'mass': found inf, which is no number"),
        ("[cam-grab]\nmass = -1", "[cam-grab] 'mass': found -1; a mass can't be negative here"),
        ("[cam-grab]\nmass = [[1]]", "[cam-grab] 'mass': found a list where a mass is wanted"),
        ("[cam-grab]\nholding = 3", "[cam-grab] 'holding' is a list of words out of bites"),
        ("[cam-grab]\nlike = 3", "[cam-grab] 'like' names no known type; give the name of a type"),
        ("[clip]\nlike = 3", "[clip] 'like' names no known type; give the name of a type"),
        ("[cam-grab", "is not TOML: "),
        ("[a]\n[a]", "is not TOML: "),
        (".".join("a" * 20_001) + " = 1", "line 1 has 40,005 characters; at most 1,000 stand on a line"),
        ('[a]\nlike = "a"', "[a] 'like' names no known type"),
        (
            "[rope-12.5-low-stretch]\nstrength = '30 kN'",
            '[rope-12] a name with a point in it stands in quotes, as in ["rope-12.5-low-stretch"]',
        ),
        (
            '[z]\nlike="x"\n[x]\nlike="y"\n[y]\nlike="x"',
            "[x] 'like' goes round in a ring: x is like y is like x; give one of them a family instead",
        ),
        ('[x]\nlike="y"\n[y]\nfamily="gadget"', "[y] 'family' is none of the known ones"),
        ("a = " + "[\n" * 20_000, "is nested too deeply"),
    ],
)
def test_a_fault_says_what_would_be_right(tmp_path: Path, text: str, fault: str) -> None:
    (found,) = faults(tmp_path, text)
    assert found.startswith(fault)
    assert "\n" not in found


def test_files_that_can_not_be_read(tmp_path: Path) -> None:
    with pytest.raises(CatalogueError, match="can't be read: No such file or directory"):
        load_catalogue(tmp_path / "none.toml")
    with pytest.raises(CatalogueError, match="can't be read: this is a folder; name a TOML file"):
        load_catalogue(tmp_path)
    with pytest.raises(CatalogueError, match="its name can't be used"):
        load_catalogue(Path("a\0b"))
    binary = tmp_path / "b.toml"
    binary.write_bytes(b"\xff\x00\xfe")
    with pytest.raises(CatalogueError, match="is not text in UTF-8"):
        load_catalogue(binary)
    binary.write_bytes(b"#\n" * 128_001)
    with pytest.raises(CatalogueError, match="is larger than 256 kB"):
        load_catalogue(binary)
