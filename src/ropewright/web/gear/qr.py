"""QR signs of addresses, as SVG."""

from __future__ import annotations

import io

import segno

__all__ = ["qr_svg"]


def qr_svg(address: str) -> str:
    """The sign of an address; a quarter of it may be scratched away and it still reads."""
    out = io.BytesIO()
    sign = segno.make(address, error="q", micro=False)
    sign.save(
        out,
        kind="svg",
        border=4,
        xmldecl=False,
        svgns=True,
        nl=False,
        omitsize=True,
        dark="#000",
        light="#fff",
    )
    return out.getvalue().decode()
