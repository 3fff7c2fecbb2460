"""Rosters: formats, units, and every fault at once."""

from pathlib import Path

import pytest

from ropewright.effort import Person, RosterError, people_of_masses, read_roster
from ropewright.quantity import System

GOOD = {
    "team.csv": "units,metric\nname,mass,role,pull,reach\n"
    "Kim,84,student,,0.5\nSam,205 lb,Safety Officer,0.3 kN,\n",
    "team.tsv.csv": "name\tmass\trole\tpull\treach\nKim\t84 kg\tstudent\t\t0.5 m\nSam\t205 lb\tSO\t300 N\t\n",
    "euro.csv": "\ufeff# units: metric\nname;mass;role;pull;reach\n"
    "Kim;84;student;;0.5\nSam;205 lb;so;0.3;\n\n",
    "team.yaml": """units: metric
people:
  - {name: Kim, mass: 84, role: student, reach: 0.5}
  - {name: Sam, mass: 205 lb, role: safety officer, pull: 0.3}
""",
    "team.toml": """units = "metric"
[[people]]
name = "Kim"
mass = 84
role = "student"
reach = 0.5
[[people]]
name = "Sam"
mass = "205 lb"
role = "safety officer"
pull = 0.3
""",
}


def read(
    tmp_path: Path, text: str | bytes, name: str = "r.csv", system: System | None = None
) -> tuple[Person, ...]:
    path = tmp_path / name
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return read_roster(path, system)


def faults(tmp_path: Path, text: str | bytes, name: str = "r.csv") -> tuple[str, ...]:
    with pytest.raises(RosterError) as caught:
        read(tmp_path, text, name)
    assert all(str(tmp_path / name) in line for line in str(caught.value).splitlines())
    return caught.value.faults


@pytest.mark.parametrize("name", GOOD)
def test_all_formats_say_the_same(name: str, tmp_path: Path) -> None:
    kim, sam = read(tmp_path, GOOD[name], name)
    assert (kim.name, kim.mass.likely, kim.role.name) == ("Kim", 84, "student")
    assert kim.pull is None
    assert kim.reach is not None
    assert kim.reach.likely == 0.5
    assert sam.mass.likely == pytest.approx(92.986, abs=1e-3)
    assert sam.pull is not None
    assert sam.pull.likely == pytest.approx(300)
    assert not sam.role.hauls


def test_units_of_a_row_and_of_the_call(tmp_path: Path) -> None:
    text = "name,mass,units\nKim,185,us\nSam,84,metric\n"
    kim, sam = read(tmp_path, text)
    assert kim.mass.likely == pytest.approx(83.9, abs=0.1)
    assert sam.mass.likely == 84
    (kim,) = read(tmp_path, "name,mass\nKim,185\n", system="us")
    assert kim.mass.likely == pytest.approx(83.9, abs=0.1)


def test_every_fault_is_told_with_its_row(tmp_path: Path) -> None:
    text = """name,mass,role
Kim,84 kg,student
Sam,,student
Max,1460 kg,student
Ann,84,student
,77 kg,student
kim,90 kg,student
Bo,0.9 kN,student
Cy,80 kg,saftey officer
Di,-80 kg,
Ed,nan kg,
"""
    found = faults(tmp_path, text)
    assert [f.split(":")[0] for f in found] == [f"line {n}" for n in range(3, 12)]
    assert found[0] == "line 3: `Sam` has no mass; weigh with all gear worn"
    assert found[1].endswith("a person with gear is between 25 and 300 kg (55 and 660 lb)")
    assert "write kg or lb after it" in found[2]
    assert found[3] == "line 6: nobody is named; give a name or a number"
    assert found[4] == "line 7: `kim` stands twice, first at line 2; tell them apart"
    assert "a mass is given in kg or lb" in found[5]
    assert found[6] == "line 9: unknown role `saftey officer`; did you mean 'safety officer'?"
    assert "can't be negative" in found[7]
    assert "found 'nan kg' where a mass is wanted" in found[8]


@pytest.mark.parametrize(
    ("name", "text", "fault"),
    [
        ("r.csv", "", "nobody is in it; each person needs a name and a mass"),
        ("r.csv", "name,mass\n", "nobody is in it; each person needs a name and a mass"),
        ("r.csv", "name,weight\nKim,84\n", "line 1: no column is titled 'mass'; titles are name, mass,"),
        ("r.csv", "name,mass,mass\nKim,84,84\n", "line 1: the column 'mass' stands 2 times; keep one"),
        ("r.csv", "units,stone\nname,mass\nKim,84\n", "line 1: units are 'metric' (kg, m, kN) or 'us'"),
        ("r.csv", "name,mass\nKim,84 kg,x\n", "line 2: 3 cells under 2 titles"),
        ("r.csv", 'name,mass\n"Kim,84 kg\n', "line 2: is not CSV"),
        ("r.csv", b"name,mass\nJos\xe9,84 kg\n", "line 2: is not text in UTF-8; save it again as UTF-8"),
        ("r.csv", "name,mass\nKim,84 kg\n".encode("utf-16"), "line 1: is not text in UTF-8"),
        ("r.csv", b"na\0me,mass\n", "is not text in UTF-8 (it holds zero bytes)"),
        ("r.csv", "name,mass\nK\u202eim,84 kg\n", "line 2: `K\\u202eim` holds the hidden character U+202E"),
        ("r.csv", "name,mass\n" + "x" * 81 + ",84 kg\n", "line 2: a name of 81 characters; 80 at most"),
        ("r.yaml", "people: [84, 91]\n", "line 1: found the number 84 where a person is wanted"),
        ("r.yaml", "people: Kim\n", "no list of people was found"),
        ("r.yaml", "peple: []\n", "unknown key `peple`; did you mean 'people'?"),
        ("r.yaml", "people: [{name: Kim, mass: 84 kg, mass: 90 kg}]\n", "`mass` stands twice"),
        ("r.yaml", "- {name: Kim, mas: 84 kg}\n", "line 1: unknown key `mas`; did you mean 'mass'?"),
        ("r.yaml", "people: [\n", "line 2"),
        ("r.toml", "people = \n", "is not TOML"),
        ("r.toml", "[[people]]\nname = 'Kim'\nmass = true\n", "person 1: mass: found true where"),
    ],
)  # fmt: skip
def test_one_clear_fault(name: str, text: str | bytes, fault: str, tmp_path: Path) -> None:
    assert any(fault in found for found in faults(tmp_path, text, name))


def test_a_file_that_is_not_there_and_one_that_is_too_large(tmp_path: Path) -> None:
    with pytest.raises(RosterError, match=r"none\.csv: can't be read: No such file"):
        read_roster(tmp_path / "none.csv")
    with pytest.raises(RosterError, match="can't be read: Is a directory"):
        read_roster(tmp_path)
    assert faults(tmp_path, b"x" * 1_000_001) == (
        "is larger than 1 MB; a roster is one line for each person",
    )


def test_a_thousand_rows_good_and_bad(tmp_path: Path) -> None:
    rows = "".join(f"person {k},{60 + k % 80}\n" for k in range(1000))
    people = read(tmp_path, "units,metric\nname,mass\n" + rows)
    assert len(people) == 1000
    assert people[-1].row == 1002
    bad = faults(tmp_path, "name,mass\n" + rows)
    assert len(bad) == 1000
    with pytest.raises(RosterError) as caught:
        read(tmp_path, "name,mass\n" + rows)
    assert str(caught.value).endswith("and 800 more faults")


@pytest.mark.parametrize(
    ("text", "system", "masses"),
    [
        ("78,84", "metric", [78, 84]),
        ("172 lb, 84 kg", None, [78.02, 84]),
        ("172,185", "us", [78.02, 83.91]),
        ("78,84,91 kg", None, [78, 84, 91]),
        ("80..84 kg", None, [82]),
    ],
)
def test_masses_on_the_line(text: str, system: System | None, masses: list[float]) -> None:
    found = people_of_masses(text, system)
    assert [p.mass.likely for p in found] == pytest.approx(masses, abs=0.01)
    assert found[0].name == "no. 1"


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("", "no mass is given"),
        (" , ,", "no mass is given"),
        ("78,84", "found `78` without a unit"),
        ("5 kg", "between 25 and 300 kg"),
        ("x kg", "found 'x kg' where a mass is wanted"),
        ("84 kN", "where a mass is wanted"),
    ],
)
def test_masses_that_can_not_be_used(text: str, fault: str) -> None:
    with pytest.raises(RosterError, match="--masses: ") as caught:
        people_of_masses(text, None)
    assert fault in caught.value.faults[0]
