"""Unpacking a backup's file, each member checked against its digest, before anything is changed."""

from __future__ import annotations

import hashlib
import json
import shutil
import tempfile
import zipfile
from pathlib import Path
from typing import Any

from django.conf import settings

from ropewright.web.storing.members import ABOUT, FORMAT, StoreError
from ropewright.web.storing.sound import check_about
from ropewright.web.storing.swap import MARK, NEW

__all__ = ["Unpacked"]

MOST_BYTES = 50_000_000_000


class Unpacked:
    """A folder with the archive's members, each checked against its digest, and what it says of itself."""

    about: dict[str, Any]

    def __init__(self, archive: zipfile.ZipFile, source: Path) -> None:
        self.archive, self.source = archive, source
        settings.ENVIRONMENT.home.mkdir(parents=True, exist_ok=True)
        self.folder = Path(tempfile.mkdtemp(prefix=NEW, dir=settings.ENVIRONMENT.home))

    def __enter__(self) -> Unpacked:
        try:
            self._unpack()
        except BaseException:
            shutil.rmtree(self.folder, ignore_errors=True)
            raise
        return self

    def __exit__(self, *_error: object) -> None:
        if not (settings.ENVIRONMENT.home / MARK).exists():  # else the next start needs it
            shutil.rmtree(self.folder, ignore_errors=True)

    def _unpack(self) -> None:
        names = {info.filename: info for info in self.archive.infolist()}
        if ABOUT not in names:
            raise StoreError(f"{self.source} is no backup of this program: it holds no {ABOUT}")
        if sum(info.file_size for info in names.values()) > MOST_BYTES:
            raise StoreError(f"{self.source} would unpack to more than {MOST_BYTES // 10**9} GB")
        try:
            about = json.loads(self.archive.read(ABOUT))
            digests: dict[str, str] = dict(about["digests"])
        except (ValueError, KeyError, TypeError):
            raise StoreError(f"{self.source} is damaged: its {ABOUT} can't be read") from None
        if about.get("format") != FORMAT:
            found = f"{self.source} has format {about.get('format')}"
            raise StoreError(f"{found}; this program reads format {FORMAT}: update it first")
        if set(names) != {ABOUT, *digests}:
            missing = sorted(set(digests) - set(names)) or sorted(set(names) - {ABOUT, *digests})
            raise StoreError(
                f"{self.source} is damaged: '{missing[0][:80]}' is missing or does not belong in it"
            )
        check_about(about, self.source)
        self.about = about
        for name in names:
            self._take(name, digests.get(name))

    def _take(self, name: str, digest: str | None) -> None:
        target = (self.folder / name).resolve()
        if not target.is_relative_to(self.folder.resolve()):
            raise StoreError(
                f"{self.source} is no backup of this program: '{name[:80]}' leads out of its folder"
            )
        target.parent.mkdir(parents=True, exist_ok=True)
        seen = hashlib.sha256()
        with self.archive.open(name) as member, target.open("wb") as into:
            while block := member.read(1 << 20):
                seen.update(block)
                into.write(block)
        target.chmod(0o600)
        if digest is not None and seen.hexdigest() != digest:
            raise StoreError(f"{self.source} is damaged: '{name[:80]}' is not what was put in")
