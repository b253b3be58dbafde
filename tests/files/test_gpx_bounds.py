"""A hostile or huge file takes bounded memory, through the door that a trip uses."""

from __future__ import annotations

import tracemalloc
from pathlib import Path

import pytest

from fellfare.files.gpx import MOST_BYTES, read_gpx
from fellfare.files.trip_toml import read_ground, read_trip
from fellfare.mistake import Mistake

TRIP = """\
title = "huge"
[walk]
gpx = "walk.gpx"
[[walker]]
name = "Rowan"
sex = "male"
age_y = 35
height_cm = 178
mass_kg = 75
base_pack_kg = 8
"""

BOMB = (
    b'<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa">'
    + b"".join(b'<!ENTITY %c "%s">' % (98 + i, b"&%c;" % (97 + i) * 10) for i in range(9))
    + b"]><gpx><name>&j;</name></gpx>"
)


def code_and_peak(folder: Path) -> tuple[str, int]:
    """The code of the refusal, and the most memory that it took [bytes]."""
    (folder / "trip.toml").write_text(TRIP, "utf-8")
    file = read_trip(folder / "trip.toml")
    tracemalloc.start()
    try:
        with pytest.raises(Mistake) as told:
            read_ground(file)
        return told.value.code, tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


def test_two_hundred_megabytes_are_refused_unread(tmp_path: Path) -> None:
    with (tmp_path / "walk.gpx").open("wb") as file:
        file.write(b"<gpx>")
        file.truncate(200_000_000)  # a sparse file: it takes no room on the disk
    code, peak = code_and_peak(tmp_path)
    assert code == "file-too-large"
    assert peak < 2.2 * MOST_BYTES


def test_an_entity_bomb_never_goes_off(tmp_path: Path) -> None:
    (tmp_path / "walk.gpx").write_bytes(BOMB)
    code, _ = code_and_peak(tmp_path)
    assert code == "gpx-doctype"
    tracemalloc.start()
    try:
        with pytest.raises(Mistake, match="gpx-doctype"):
            read_gpx(BOMB)
        assert tracemalloc.get_traced_memory()[1] < 1_000_000  # unfolded it would be 10 GB
    finally:
        tracemalloc.stop()
