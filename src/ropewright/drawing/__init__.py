"""The picture of a rig: where every rope, sheave, knot and label goes, and its SVG and PNG."""

from .frame import Marked, draw_frame, without_idle
from .layout import Layout, View, lay_out
from .picture import CAUTION, Drawing, Picture, compose, draw_rig, finish
from .png import PictureError, png
from .small import small_picture
from .subject import Subject, subject_from, subject_of
from .text import FAMILY, FontError, font_folder

__all__ = [
    "CAUTION",
    "FAMILY",
    "Drawing",
    "FontError",
    "Layout",
    "Marked",
    "Picture",
    "PictureError",
    "Subject",
    "View",
    "compose",
    "draw_frame",
    "draw_rig",
    "finish",
    "font_folder",
    "lay_out",
    "png",
    "small_picture",
    "subject_from",
    "subject_of",
    "without_idle",
]
