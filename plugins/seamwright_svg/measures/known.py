"""The scale from something of known size: a line by its length, anything closed by its width."""

from __future__ import annotations

from seamwright.model.recognise.items import Drawing
from seamwright.plugins.api import SeamwrightError, did_you_mean
from seamwright.units import parse_length

from ..notes import Notes
from ..options import SvgIn


def known_factor(drawing: Drawing, options: SvgIn, notes: Notes) -> float:
    """By how much the drawing must be enlarged so that the named element has its known size.

    Raises SeamwrightError (scale.known) where there is no such element or it has no size.
    """
    name, length = _parts(options.known, notes)
    matching = [
        s
        for s in drawing.strokes
        if name in (s.named.node.id, s.named.label.text, s.named.title.text)
        or any(g.named.node.id == name or g.named.label.text == name for g in s.chain())
    ]
    if not matching:
        ids = {s.named.node.id for s in drawing.strokes} | {
            s.named.label.text for s in drawing.strokes
        }
        raise SeamwrightError.of(
            "scale.known",
            f'there is no line or shape "{name}" in the drawing to take the scale from',
            file=notes.file,
            hint=did_you_mean(name, sorted(i for i in ids if i)),
        )
    own = [s for s in matching if s.named.node.id == name] or matching
    if len(own) == 1 and not own[0].curve.closed:
        measured = own[0].curve.length
    else:
        measured = max(s.curve.bbox[2] for s in own) - min(s.curve.bbox[0] for s in own)
        if not measured > 0.0:
            measured = max(s.curve.bbox[3] for s in own) - min(s.curve.bbox[1] for s in own)
    if not measured > 1e-9:
        raise SeamwrightError.of(
            "scale.known", f'"{name}" has no length to take the scale from', file=notes.file
        )
    factor = float(length / measured)
    notes.note(
        "scale.known",
        f'"{name}" is {notes.length(length)} long, drawn {measured:.6g} mm; '
        f"everything is scaled by {factor:.9g}",
        own[0].named.node,
        measured=float(measured),
        limit=length,
    )
    return factor


def _parts(text: str, notes: Notes) -> tuple[str, float]:
    """Name and length: the length is what can be read as one at the end."""
    words = text.replace("=", " ").split()
    for cut in range(1, len(words)):
        try:
            length = parse_length(" ".join(words[cut:]))
        except ValueError:
            continue
        if length > 0.0:
            return " ".join(words[:cut]), length
    raise SeamwrightError.of(
        "scale.known",
        f'"{text}" is not an id and a length',
        file=notes.file,
        hint='write it as "test-square 100 mm"',
    )
