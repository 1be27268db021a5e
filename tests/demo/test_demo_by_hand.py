"""The drawing made by hand: as untidy as it should be, and the right size all the same."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from functools import lru_cache

import numpy as np
import pytest
from svgpathtools import parse_path
from svgpathtools.parser import parse_transform

from seamwright.demo.blouse import draft
from seamwright.demo.body import base_size, chorus
from seamwright.demo.by_hand import GAPS, PAGE, PLACINGS, by_hand

SVG = "{http://www.w3.org/2000/svg}"
INCH = 96.0  # pixels; CSS Values and Units, absolute lengths


@lru_cache(maxsize=8)
def strokes(size: str | None = None) -> list[np.ndarray]:
    """Every stroke on the page, sampled, in pixels, in the order of the file; by a library that
    has no part in drawing them."""
    found: list[np.ndarray] = []

    def walk(element: ET.Element, outer: np.ndarray) -> None:
        matrix = outer @ parse_transform(element.get("transform", ""))
        if element.tag == f"{SVG}path":
            path = parse_path(element.get("d"))
            points = np.array([s.point(t) for s in path for t in np.linspace(0, 1, 40)])
            xy = np.stack((points.real, points.imag, np.ones(len(points))))
            found.append((matrix @ xy)[:2].T)
        if element.tag == f"{SVG}line":
            ends = [[float(element.get(k + i, "nan")) for k in "xy"] for i in "12"]
            found.append((matrix @ np.column_stack((ends, [1, 1])).T)[:2].T)
        for child in element:
            walk(child, matrix)

    walk(ET.fromstring(by_hand(size)), np.eye(3))
    return found


def length(points: np.ndarray) -> float:
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def test_flat_unlabelled_and_without_a_physical_size() -> None:
    root = ET.fromstring(by_hand())
    assert root.get("viewBox") is None
    assert all((root.get(side) or "").isdecimal() for side in ("width", "height"))
    names = {a for e in root.iter() for a in e.attrib}
    assert not any("label" in a or "title" in a or "}" in a for a in names)
    assert {e.get("id", "path").rstrip("0123456789") for e in root.iter()} == {"path"}
    assert [t.text for t in root.iter(f"{SVG}text")][::2][:1] == ["Back"]


def test_edges_have_their_lengths_at_96_pixels_an_inch() -> None:
    body = next(b for b in chorus() if b.size == base_size())
    drawn = np.array([length(s) * 25.4 / INCH for s in strokes()])
    for piece in draft(body):
        for edge in piece.edges.values():
            shares = (1.0,) if edge.length < 260 else (0.55, 0.45)  # a long edge is two strokes
            for share in shares:
                short = share * edge.length - drawn
                assert np.any((short > -0.05) & (short < max(GAPS) + 0.05)), piece.name
    assert np.sum(np.abs(drawn - 7.5) < 0.01) == 11  # notches


def test_strokes_run_both_ways_and_leave_gaps() -> None:
    """The back is drawn first, unturned: its strokes against its corners."""
    body = next(b for b in chorus() if b.size == base_size())
    back = draft(body)[0]
    at = PLACINGS["Back"]
    corners = np.array([edge.start for edge in back.edges.values()])
    corners = np.array([at.x, at.y]) + corners * np.array([1, -1]) * INCH / 25.4
    outline = strokes()[: 4 + 2 * 2]  # four short edges, two long ones
    off = np.array([[np.hypot(*(corners - end).T).min() for end in (s[0], s[-1])] for s in outline])
    off *= 25.4 / INCH
    gaps = off[(off > 0.005) & (off < 1.0)]
    assert gaps.size and gaps.max() < max(GAPS) + 0.01
    starts = off[:, 0] < 0.004
    assert starts.any() and not starts.all()  # a stroke leaves its corner exactly or ends in it


@pytest.mark.parametrize("size", [b.size for b in chorus()])
def test_every_size_can_be_drawn_and_stays_on_the_page(size: str) -> None:
    found = strokes(size)
    assert len(found) > 30
    points = np.concatenate(found)
    assert points.min() > 0 and (points.max(axis=0) < PAGE).all()
    assert f"size {size}" in by_hand(size).decode()


def test_the_same_bytes_every_time() -> None:
    assert by_hand() == by_hand()
