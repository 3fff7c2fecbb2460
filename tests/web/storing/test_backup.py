"""Backup and restore, as `ropewright backup` and `restore` do them: each in a process of its own."""

from __future__ import annotations

import hashlib
import json
import shutil
import sqlite3
import subprocess
import sys
import time
import zipfile
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from django.conf import settings
from django.db import connection
from django.test import override_settings

from ropewright.web.held import HeldError, alone, together
from ropewright.web.storing import StoreError, restore
from ropewright.web.workings.worker import LINGER
from tests.homes import home_made_once, own_home

MAKE = """
import sys
from ropewright.web.serving import set_up
set_up()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from django.core.files.base import ContentFile
from ropewright.web.accounts.models import Account
from ropewright.web.gear.models import Document, Item
from ropewright.web.rigs.models import Rig
author = Account.objects.create_user("ines", password="a rope of words", role="lead")
rig = Rig.objects.create(slug="lane")
for text in ("rig: one", "rig: two"):
    rig.save_version(text, author, title="Lane")
item = Item.objects.create(mark="R-1", type="rope-11-low-stretch")
seen = ContentFile(b"seen", name="a.txt")
Document(item=item, title="t", file=seen, kind="text", size=4, digest="", added_by=author).save()
"""
TELL = """
from ropewright.web.serving import set_up
set_up()
from ropewright.web.gear.models import Document
from ropewright.web.rigs.models import RigVersion
texts = [v.text for v in RigVersion.objects.order_by("number")]
print(texts, [d.file.read() for d in Document.objects.all()])
"""
TOLD = "['rig: one', 'rig: two'] [b'seen']"


def _run(*words: str, home: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, *words]
    return subprocess.run(command, env=own_home(home), capture_output=True, text=True, timeout=120)


def _ropewright(*words: str, home: Path) -> subprocess.CompletedProcess[str]:
    return _run("-m", "ropewright.cli", *words, home=home)


def _small(home: Path) -> None:
    made = _run("-c", MAKE, home=home)
    assert made.returncode == 0, made.stderr


@pytest.fixture(scope="session")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A backup of a small store."""
    home = home_made_once(tmp_path_factory, "small", _small)
    target = tmp_path_factory.mktemp("kept") / "kept.zip"
    done = _ropewright("backup", str(target), home=home)
    assert done.returncode == 0, done.stderr
    assert "1 document" in done.stdout
    return target


@pytest.fixture
def small(tmp_path_factory: pytest.TempPathFactory, tmp_path: Path) -> Path:
    """The home folder of that store, for a test of its own."""
    return shutil.copytree(home_made_once(tmp_path_factory, "small", _small), tmp_path / "small")


def test_a_backup_holds_everything_and_restores_into_an_empty_home(kept: Path, tmp_path: Path) -> None:
    done = _ropewright("restore", str(kept), home=tmp_path / "new")
    assert done.returncode == 0, done.stderr
    assert _run("-c", TELL, home=tmp_path / "new").stdout.strip() == TOLD


def test_a_backup_is_for_nobody_elses_eyes(kept: Path) -> None:
    assert kept.stat().st_mode & 0o077 == 0


def test_what_was_there_is_set_aside(kept: Path, tmp_path: Path) -> None:
    for _ in range(2):
        done = _ropewright("restore", str(kept), home=tmp_path)
        assert done.returncode == 0, done.stderr
    assert "set aside in" in done.stdout
    assert len(list(tmp_path.glob("before-restore-*/ropewright.sqlite3"))) == 1


def test_an_existing_file_is_not_written_over(kept: Path, tmp_path: Path) -> None:
    there = tmp_path / "there.zip"
    there.write_text("mine")
    assert _ropewright("restore", str(kept), home=tmp_path).returncode == 0
    done = _ropewright("backup", str(there), home=tmp_path)
    assert done.returncode == 2
    assert "is there already; name a new file" in done.stderr
    assert there.read_text() == "mine"


def _changed(kept: Path, target: Path, **members: bytes | None) -> Path:
    """A copy of a backup with some members replaced, or left out (None)."""
    with zipfile.ZipFile(kept) as source, zipfile.ZipFile(target, "w") as copy:
        for name in source.namelist():
            content = members.get(name.split(".")[0], source.read(name))
            if content is not None:
                copy.writestr(name, content)
    return target


def _about(kept: Path, **changes: object) -> bytes:
    with zipfile.ZipFile(kept) as source:
        return json.dumps(json.loads(source.read("about.json")) | changes).encode()


def _broken(kept: Path, tmp_path: Path, what: str) -> Path:
    target = tmp_path / f"{what}.zip"
    if what == "cut short":
        target.write_bytes(kept.read_bytes()[:-200])
    elif what == "no archive":
        target.write_bytes(b"this is no backup")
    elif what == "one byte wrong":
        with zipfile.ZipFile(kept) as source:
            data = bytearray(source.read("database.sqlite3"))
        data[5000] ^= 1
        _changed(kept, target, database=bytes(data))
    elif what == "no database":
        _changed(kept, target, database=None)
    elif what == "from a newer program":
        with zipfile.ZipFile(kept) as source:
            known = json.loads(source.read("about.json"))["migrations"]
        _changed(kept, target, about=_about(kept, migrations=[*known, ["rigs", "0999_later"]]))
    elif what == "of a newer format":
        _changed(kept, target, about=_about(kept, format=2))
    else:
        _useless(kept, tmp_path, target, what)
    return target


def _useless(kept: Path, tmp_path: Path, target: Path, what: str) -> None:
    """A file whose digests are right and that yet holds no store."""
    with zipfile.ZipFile(kept) as source:
        about, data = json.loads(source.read("about.json")), source.read("database.sqlite3")
    path = tmp_path / "other.sqlite3"
    if what == "nobody in it":
        path.write_bytes(data)
    sql = {"a foreign database": "CREATE TABLE t (x)", "nobody in it": "DELETE FROM accounts_account"}
    with closing(sqlite3.connect(path)) as database:
        database.execute(sql.get(what, "SELECT 1"))
        database.commit()
    members = {} if what == "about alone" else {"database.sqlite3": path.read_bytes()}
    if what == "nobody in it":
        _cut_loose(path)
        members = {"database.sqlite3": path.read_bytes()}
    if what == "without its keys":
        del about["migrations"], about["program"]
    if what == "marked as rows":
        about["database"] = "postgresql"
    about["digests"] = {name: hashlib.sha256(content).hexdigest() for name, content in members.items()}
    with zipfile.ZipFile(target, "w") as archive:
        for name, content in members.items():
            archive.writestr(name, content)
        archive.writestr("about.json", json.dumps(about))


def _cut_loose(path: Path) -> None:
    """Empty every table that would point to accounts which are gone."""
    with closing(sqlite3.connect(path)) as database:
        while broken := database.execute("PRAGMA foreign_key_check").fetchone():
            database.execute(f"DELETE FROM {broken[0]}")
            database.commit()


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("cut short", "is damaged or is no backup"),
        ("no archive", "is damaged or is no backup"),
        ("one byte wrong", "'database.sqlite3' is not what was put in"),
        ("no database", "'database.sqlite3' is missing"),
        ("from a newer program", "is from a newer program"),
        ("of a newer format", "has format 2; this program reads format 1"),
        ("without its keys", "its about.json does not say 'program' and 'migrations' as a backup does"),
        ("marked as rows", "it was taken from PostgreSQL and holds no rows.jsonl"),
        ("about alone", "it was taken from SQLite and holds no database.sqlite3"),
        ("an empty database", "holds no database of this program: it has 0 tables"),
        ("a foreign database", "holds no database of this program: it has 1 tables"),
        ("nobody in it", "holds no account: whoever opened it first would become its lead"),
    ],
)
def test_a_file_that_is_not_whole_or_too_new_changes_nothing(
    kept: Path, tmp_path: Path, what: str, said: str, db: None
) -> None:
    home = tmp_path / "home"
    bad = _broken(kept, tmp_path, what)
    own = override_settings(ENVIRONMENT=replace(settings.ENVIRONMENT, home=home))
    with own, pytest.raises(StoreError) as refused:
        restore(bad)
    if connection.vendor == "postgresql" and what in (
        "an empty database",
        "a foreign database",
        "nobody in it",
    ):
        said = "names a PostgreSQL server; restore it without that setting"
    assert said in str(refused.value)
    assert [path.name for path in home.iterdir()] == [".serving"]


def test_a_folder_without_a_store_is_not_backed_up_and_nothing_is_made(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    for name, said in (("nohome", "is not there"), ("empty", "has no ropewright.sqlite3 in it")):
        done = _ropewright("backup", str(tmp_path / "typo.zip"), home=tmp_path / name)
        assert done.returncode == 2
        assert done.stderr == f"ropewright: no store to back up: {tmp_path / name} {said}\n"
    assert [str(path.relative_to(tmp_path)) for path in tmp_path.rglob("*")] == ["empty"]


def test_a_store_without_anybody_is_not_backed_up(ready_home: Path, tmp_path: Path) -> None:
    done = _ropewright("backup", str(tmp_path / "b.zip"), home=ready_home)
    assert done.returncode == 2
    assert "holds no account yet: there is nothing to back up" in done.stderr
    assert not (tmp_path / "b.zip").exists()


def test_a_damaged_store_or_a_server_that_is_down_is_told_plainly(tmp_path: Path) -> None:
    (tmp_path / "ropewright.sqlite3").write_bytes(b"no database at all" * 400)
    done = _ropewright("backup", str(tmp_path / "b.zip"), home=tmp_path)
    assert done.returncode == 2
    assert (
        "ropewright.sqlite3 is damaged (file is not a database). Put the last backup in place" in done.stderr
    )
    down = "import os; os.environ['ROPEWRIGHT_DATABASE'] = 'postgresql://u:p@127.0.0.1:1/n'\n"
    words = down + "import sys; from ropewright.cli import main; sys.exit(main(sys.argv[1:]))"
    for command in ("backup", "restore"):
        done = _run("-c", words, command, str(tmp_path / "b.zip"), home=tmp_path)
        assert done.returncode == 2
        assert "should not have happened" not in done.stderr
    done = _run("-c", words, "backup", str(tmp_path / "b.zip"), home=tmp_path)
    assert "the PostgreSQL server that ROPEWRIGHT_DATABASE names can't be used: conn" in done.stderr


def _limited(most: int) -> str:
    """Words before a program that let no file grow larger, as a full disk lets none grow."""
    return (
        "import resource, sys; from ropewright.cli import main; "
        f"resource.setrlimit(resource.RLIMIT_FSIZE, ({most}, {most})); sys.exit(main(sys.argv[1:]))"
    )


def test_a_restore_without_room_changes_nothing(kept: Path, tmp_path: Path) -> None:
    assert _ropewright("restore", str(kept), home=tmp_path).returncode == 0
    before = {p: p.stat().st_ino for p in tmp_path.rglob("*")}
    for most in (200_000, 700_000):  # in the middle of the unpacking
        done = _run("-c", _limited(most), "restore", str(kept), home=tmp_path)
        assert done.returncode == 2, done.stdout
        assert "nothing was changed" in done.stderr
        assert "should not have happened" not in done.stderr
        assert {p: p.stat().st_ino for p in tmp_path.rglob("*")} == before
    assert _run("-c", TELL, home=tmp_path).stdout.strip() == TOLD


@pytest.mark.parametrize("there", [False, True])
def test_a_restore_without_room_leaves_nothing_that_was_not_there(
    kept: Path, tmp_path: Path, there: bool
) -> None:
    home = tmp_path / "new" / "home"
    if there:
        home.mkdir(parents=True)
    for most in (10, 200_000):  # not even the key; in the middle of the unpacking
        done = _run("-c", _limited(most), "restore", str(kept), home=home)
        assert done.returncode == 2, done.stdout
        assert sorted(tmp_path.rglob("*")) == ([home.parent, home] if there else [])


def test_a_backup_without_room_says_so_and_leaves_nothing(kept: Path, tmp_path: Path) -> None:
    assert _ropewright("restore", str(kept), home=tmp_path).returncode == 0
    for words in (_limited(200_000), _FULL):  # while the database is copied; while the file is written
        done = _run("-c", words, "backup", str(tmp_path / "b.zip"), home=tmp_path)
        assert done.returncode == 2
        assert "b.zip can't be written: " in done.stderr
        assert "should not have happened" not in done.stderr
        assert not list(tmp_path.glob("*b.zip*"))


def test_a_restore_that_was_killed_while_it_swapped_is_finished_by_the_next_backup(
    kept: Path, tmp_path: Path
) -> None:
    assert _ropewright("restore", str(kept), home=tmp_path).returncode == 0
    done = _run("-c", _KILLED, "restore", str(kept), home=tmp_path)
    assert done.returncode == 9
    assert not (tmp_path / "ropewright.sqlite3").exists()
    done = _ropewright("backup", str(tmp_path / "b.zip"), home=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "A restore that was broken off is finished" in done.stdout
    assert _run("-c", TELL, home=tmp_path).stdout.strip() == TOLD


_FULL = """
import io, sys, types, zipfile
from ropewright.cli import main
class Full(io.FileIO):
    def write(self, data):
        if self.tell() + len(data) > 20000:
            raise OSError(28, "No space left on device")
        return super().write(data)
zipfile.io = types.SimpleNamespace(**vars(io) | {"open": lambda path, mode: Full(path, "w+")})
sys.exit(main(sys.argv[1:]))
"""
_KILLED = """
import os, sys
from pathlib import Path
from ropewright.cli import main
rename = Path.rename
def last(path, target):
    if path.name == "database.sqlite3":
        os._exit(9)
    return rename(path, target)
Path.rename = last
sys.exit(main(sys.argv[1:]))
"""


def test_a_member_that_leads_out_of_the_folder_is_refused(kept: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(kept) as source:
        about = json.loads(source.read("about.json"))
    bad = tmp_path / "bad.zip"
    with zipfile.ZipFile(bad, "w") as archive:
        about["digests"] = {"../outside": "0", "database.sqlite3": "0"}
        archive.writestr("about.json", json.dumps(about))
        archive.writestr("../outside", b"x")
        archive.writestr("database.sqlite3", b"x")
    own = override_settings(ENVIRONMENT=replace(settings.ENVIRONMENT, home=tmp_path / "home"))
    with own, pytest.raises(StoreError, match="leads out of its folder"):
        restore(bad)
    assert not (tmp_path / "outside").exists()


def test_a_restore_waits_for_no_running_server_but_refuses(tmp_path: Path) -> None:
    holder = subprocess.Popen(
        [sys.executable, "-c", _HOLD, str(tmp_path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert holder.stdout is not None
    assert holder.stdout.readline() == "held\n"
    with (
        pytest.raises(HeldError, match="is used by a restore, or by a server that starts or stops"),
        alone(tmp_path),
    ):
        pass
    together(tmp_path)  # a second server may share it
    holder.communicate("", timeout=20)


@pytest.mark.parametrize("server", [False, True])
def test_a_restore_waits_for_work_that_outlives_its_server_but_for_no_server(
    tmp_path: Path, server: bool
) -> None:
    words = _HOLD.replace("sys.stdin.read()", "import time; time.sleep(2)")
    if server:
        words = words.replace("print(", _ONLY + "print(")
    holder = subprocess.Popen([sys.executable, "-c", words, str(tmp_path)], stdout=subprocess.PIPE, text=True)
    assert holder.stdout is not None
    assert holder.stdout.readline() == "held\n"
    if server:
        with pytest.raises(HeldError), alone(tmp_path, 20.0):
            pass
        assert holder.poll() is None
    else:
        with alone(tmp_path, 20.0):
            assert holder.wait(timeout=5) == 0
    holder.communicate(timeout=20)


def test_work_beside_the_server_keeps_out_of_a_restore(small: Path) -> None:
    began = time.monotonic()
    with alone(small):
        done = _run("-m", "ropewright.web.workings.worker", "short", home=small)
    assert done.returncode == 0, done.stderr
    assert time.monotonic() - began < LINGER


def test_a_database_is_taken_as_of_one_moment_while_it_is_written(small: Path, tmp_path: Path) -> None:
    """Pairs of rows are written in one transaction each: a backup never holds one without the other."""
    writer = subprocess.Popen([sys.executable, "-c", _PAIRS, str(small / "ropewright.sqlite3")])
    try:
        for k in range(3):
            target = tmp_path / f"b{k}.zip"
            assert _ropewright("backup", str(target), home=small).returncode == 0
            with zipfile.ZipFile(target) as archive:
                archive.extract("database.sqlite3", tmp_path / f"out{k}")
            with closing(sqlite3.connect(tmp_path / f"out{k}" / "database.sqlite3")) as copy:
                (count,) = copy.execute("SELECT count(*) FROM gear_place").fetchone()
            assert count % 2 == 0
    finally:
        writer.kill()
        writer.wait()
    assert count > 0


_HOLD = """
import sys
from pathlib import Path
from ropewright.web.held import together
together(Path(sys.argv[1]))
print("held", flush=True)
sys.stdin.read()
"""
_ONLY = """
from ropewright.web.held import only_server
only_server(Path(sys.argv[1]), "")
"""
_PAIRS = """
import sqlite3, sys, time
db = sqlite3.connect(sys.argv[1], timeout=30, isolation_level=None)
k = 0
while True:
    db.execute("BEGIN IMMEDIATE")
    for half in (0, 1):
        db.execute("INSERT INTO gear_place(name, about) VALUES (?, '')", (f"place {k}.{half}",))
    db.execute("COMMIT")
    k += 1
    time.sleep(0.001)
"""
