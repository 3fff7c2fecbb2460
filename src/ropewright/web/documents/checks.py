"""What a file is, from its content; refused where extension, claim and content do not agree."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from ropewright.errors import RopewrightError
from ropewright.web.documents.names import clean_name, extension_of
from ropewright.web.documents.pictures import PICTURES, PictureError

__all__ = ["ACCEPTED", "Checked", "DocumentError", "check_document", "is_picture", "words_of"]

MOST_SIDE = 16_000
MOST_PIXELS = 120_000_000


@dataclass(frozen=True, slots=True)
class _Kind:
    """A kind of file: its words, its extensions (the first is given out), other claims for it."""

    words: str
    extensions: tuple[str, ...]
    claims: tuple[str, ...] = ()


_KINDS: Mapping[str, _Kind] = {
    "image/jpeg": _Kind("a JPEG picture", ("jpg", "jpeg", "jpe"), ("image/jpg", "image/pjpeg")),
    "image/png": _Kind("a PNG picture", ("png",), ("image/x-png",)),
    "image/webp": _Kind("a WebP picture", ("webp",)),
    "application/pdf": _Kind("a PDF", ("pdf",), ("application/x-pdf",)),
    "text/plain": _Kind("plain text", ("txt", "text")),
}
_NO_CLAIM = frozenset({"", "application/octet-stream", "binary/octet-stream"})
ACCEPTED = ",".join(f".{extension}" for kind in _KINDS.values() for extension in kind.extensions)
"""What a browser offers to choose from."""
_UNKNOWN = "The file is of a kind that is not kept here."
_WANTED = "Photographs as JPEG, PNG or WebP, documents as PDF or plain text."
_MARKUP = re.compile(
    r"<\s*(!doctype|\?xml|html|head|body|script|svg|iframe|object|embed|style|meta|link)\b", re.IGNORECASE
)


class DocumentError(RopewrightError):
    """A file that is not kept. The text says what was found and what would be right."""


@dataclass(frozen=True, slots=True)
class Checked:
    """A file that may be kept: its media type, a clean name, its content, and what to tell of it."""

    kind: str
    name: str
    content: bytes
    told: str = ""


def words_of(kind: str) -> str:
    """A media type in words."""
    return _KINDS[kind].words.removeprefix("a ") if kind in _KINDS else kind


def is_picture(kind: str) -> bool:
    """Whether a media type is a picture that a page may show."""
    return kind in PICTURES


def check_document(content: bytes, name: str, claimed: str) -> Checked:
    """Find out what a file is and whether it may be kept. Errors: DocumentError.

    claimed: the media type that the browser named; it proves nothing, but must not differ.
    """
    if not content:
        raise DocumentError("The file is empty.")
    kind = _kind_of(content)
    known = _KINDS[kind]
    extension, claim = extension_of(name), claimed.partition(";")[0].strip().lower()
    if extension not in known.extensions:
        found = f"ends in .{extension[:20]}" if extension else "has no extension"
        raise DocumentError(
            f"The file is {known.words}, but its name {found}. Name it .{known.extensions[0]}."
        )
    if claim not in _NO_CLAIM and claim not in (kind, *known.claims):
        raise DocumentError(
            f"The file is {known.words}, but was sent as {claim[:60]}. Save it anew and send it again."
        )
    kept = _whole(content, kind)
    told = ""
    if len(kept) < len(content):
        told = f"{len(content) - len(kept)} bytes that stood behind the end of the picture were left out."
    return Checked(kind, clean_name(name, known.extensions[0]), kept, told)


def _kind_of(content: bytes) -> str:
    """The media type, by the first bytes. Errors: DocumentError."""
    if content.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    if content.startswith(b"RIFF") and content[8:12] == b"WEBP":
        return "image/webp"
    if content.startswith((b"%PDF-1.", b"%PDF-2.")):
        return "application/pdf"
    _check_text(content)
    return "text/plain"


def _check_text(content: bytes) -> None:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise DocumentError(f"{_UNKNOWN} {_WANTED} Text has to be UTF-8.") from None
    if any(ord(c) < 32 and c not in "\t\r\n\f" for c in text):
        raise DocumentError(f"{_UNKNOWN} {_WANTED}")
    found = _MARKUP.search(text)
    if found:
        raise DocumentError(
            f"The file holds markup ({found[0][:12]}…): web pages and SVG drawings can carry programs and "
            f"are not kept. {_WANTED}"
        )


def _whole(content: bytes, kind: str) -> bytes:
    """The content up to its end. Errors: DocumentError where it breaks off or is too large to show."""
    if kind == "application/pdf":
        if b"startxref" not in content[-4096:] or b"%%EOF" not in content[-1024:] or b" obj" not in content:
            raise DocumentError("The PDF breaks off or is damaged. Save it anew and send it again.")
        return content
    if kind not in PICTURES:
        return content
    try:
        picture = PICTURES[kind](content)
    except (PictureError, IndexError) as error:
        words = str(error) if isinstance(error, PictureError) else "the picture breaks off"
        raise DocumentError(f"The file can't be kept: {words}. Save it anew and send it again.") from None
    if not picture.width or not picture.height:
        raise DocumentError("The picture says that it has no pixels. Save it anew and send it again.")
    if max(picture.width, picture.height) > MOST_SIDE or picture.width * picture.height > MOST_PIXELS:
        raise DocumentError(
            f"The picture has {picture.width} × {picture.height} pixels; {MOST_SIDE} on a side and "
            f"{MOST_PIXELS // 1_000_000} million in all are the most. Make it smaller."
        )
    return content[: picture.end]
