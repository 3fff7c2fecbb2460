"""What a file is, from its content, and what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ropewright.web.documents.checks import DocumentError, check_document
from ropewright.web.documents.pictures import PICTURES
from tests.web.documents.files import jpeg, pdf, png, webp

SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
HTML = b"<!DOCTYPE html><title>x</title>"


@pytest.mark.parametrize(
    ("content", "name", "claimed", "kind"),
    [
        (jpeg(), "photo.JPG", "image/jpeg", "image/jpeg"),
        (jpeg(), "photo.jpeg", "image/pjpeg", "image/jpeg"),
        (png(), "photo.png", "image/png", "image/png"),
        (webp(kind=b"VP8L"), "photo.webp", "image/webp", "image/webp"),
        (webp(kind=b"VP8 "), "photo.webp", "application/octet-stream", "image/webp"),
        (webp(kind=b"VP8X"), "photo.webp", "", "image/webp"),
        (pdf(), "sheet.pdf", "application/pdf", "application/pdf"),
        ("Förder\tgut\r\n".encode(), "note.txt", "text/plain; charset=utf-8", "text/plain"),
    ],
)
def test_a_file_that_is_what_it_says_is_taken_whole(
    content: bytes, name: str, claimed: str, kind: str
) -> None:
    checked = check_document(content, name, claimed)
    assert (checked.kind, checked.content, checked.told) == (kind, content, "")


@pytest.mark.parametrize(
    ("content", "name", "claimed", "told"),
    [
        (b"", "x.png", "image/png", "The file is empty."),
        (png(), "photo.jpg", "image/jpeg", "a PNG picture, but its name ends in .jpg. Name it .png."),
        (png(), "photo", "image/png", "a PNG picture, but its name has no extension"),
        (png(), "photo.png.html", "image/png", "a PNG picture, but its name ends in .html"),
        (png(), "photo.png", "text/html", "a PNG picture, but was sent as text/html"),
        (pdf(), "sheet.txt", "text/plain", "a PDF, but its name ends in .txt"),
        (
            SVG,
            "drawing.svg",
            "image/svg+xml",
            "web pages and SVG drawings can carry programs and are not kept",
        ),
        (SVG, "drawing.png", "image/png", "holds markup (<svg…)"),
        (HTML, "note.txt", "text/plain", "holds markup (<!DOCTYPE…)"),
        (b"words, then\n< script src=x>", "note.txt", "text/plain", "holds markup"),
        (b"GIF89a\x01\x00\x01\x00\x00", "photo.gif", "image/gif", "of a kind that is not kept here"),
        (b"MZ\x90\x00\x03\x00", "tool.exe", "application/x-msdownload", "of a kind that is not kept here"),
        (b"PK\x03\x04\x14\x00", "x.docx", "", "of a kind that is not kept here"),
        ("müde".encode("cp1252"), "note.txt", "text/plain", "Text has to be UTF-8."),
        (pdf()[:-30], "sheet.pdf", "application/pdf", "The PDF breaks off"),
        (b"%PDF-1.4\n" + HTML, "sheet.pdf", "application/pdf", "The PDF breaks off"),
        (jpeg()[:-2], "photo.jpg", "image/jpeg", "the picture breaks off"),
        (b"\xff\xd8\xff\xd9", "photo.jpg", "image/jpeg", "the picture has no pixels in it"),
        (b"\xff\xd8\xff" + HTML, "photo.jpg", "image/jpeg", "can't be kept"),
        (png()[:-12], "photo.png", "image/png", "the picture breaks off"),
        (png().replace(b"IDAT", b"IDAx"), "photo.png", "image/png", "the picture is damaged"),
        (b"\x89PNG\r\n\x1a\n" + HTML, "photo.png", "image/png", "does not start with its size"),
        (webp()[:-4], "photo.webp", "image/webp", "the picture breaks off"),
        (png(0, 5), "photo.png", "image/png", "says that it has no pixels"),
        (png(16_001, 2), "photo.png", "image/png", "16001 × 2 pixels; 16000 on a side"),
        (jpeg(16_000, 16_000), "photo.jpg", "image/jpeg", "120 million in all are the most"),
    ],
)
def test_what_is_refused_says_what_was_found(content: bytes, name: str, claimed: str, told: str) -> None:
    with pytest.raises(DocumentError) as error:
        check_document(content, name, claimed)
    assert told in str(error.value)


@pytest.mark.parametrize("picture", [(jpeg(), "jpg"), (png(), "png"), (webp(), "webp")])
@pytest.mark.parametrize("tail", [b"PK\x03\x04 an archive", HTML, SVG, b"\0" * 9])
def test_what_hangs_behind_a_picture_is_not_kept(picture: tuple[bytes, str], tail: bytes) -> None:
    content, extension = picture
    checked = check_document(content + tail, f"x.{extension}", "")
    assert checked.content == content
    assert checked.told == f"{len(tail)} bytes that stood behind the end of the picture were left out."


@pytest.mark.parametrize(
    ("content", "kind"),
    [(jpeg(33, 44), "image/jpeg"), (png(33, 44), "image/png")]
    + [(webp(33, 44, kind), "image/webp") for kind in (b"VP8L", b"VP8 ", b"VP8X")],
)
def test_the_size_of_a_picture_is_read(content: bytes, kind: str) -> None:
    picture = PICTURES[kind](content)
    assert (picture.width, picture.height, picture.end) == (33, 44, len(content))


def test_markup_in_the_comment_of_a_picture_is_left_in_it_and_stays_a_picture() -> None:
    assert check_document(jpeg(comment=HTML), "x.jpg", "").kind == "image/jpeg"


@given(
    st.binary(max_size=200),
    st.sampled_from([b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"RIFF\x20\0\0\0WEBP", b""]),
)
def test_no_bytes_break_the_check(rest: bytes, start: bytes) -> None:
    try:
        check_document(start + rest, "x.jpg", "")
    except DocumentError:
        return


@given(
    st.integers(0, 200),
    st.integers(0, 255),
    st.sampled_from([(jpeg(), "jpg"), (png(), "png"), (webp(), "webp")]),
)
def test_a_changed_byte_never_breaks_the_check(at: int, byte: int, picture: tuple[bytes, str]) -> None:
    content = bytearray(picture[0])
    content[at % len(content)] = byte
    try:
        check_document(bytes(content), f"x.{picture[1]}", "")
    except DocumentError:
        return
