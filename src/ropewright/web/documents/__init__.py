"""Photographs and documents that people send: looked at before they are kept, and given out with care."""
