"""Looking up a plan's seams in a pattern whose marks have their names."""

from __future__ import annotations

from dataclasses import replace

from seamwright.findings import SeamwrightError, did_you_mean
from seamwright.model import Run, RunPart, Seam

from .grammar import parse_mark, written_mark
from .names import look_up
from .pairs import marks_on_runs
from .places import Places
from .runs import Lost, resolve_parts
from .voice import Voice, Where


class Lookup:
    """Finds the pieces and marks of a plan's seams; refusals go through the voice."""

    def __init__(self, voice: Voice, where: Places) -> None:
        self.voice = voice
        self.where = where

    def seams(self) -> tuple[Seam, ...]:
        seams = [self.seam(i, seam) for i, seam in enumerate(self.voice.plan.seams)]
        parts = [p for seam in seams for run in (seam.sew, seam.to) for p in run.parts]
        found, lost = resolve_parts(self.where, parts)
        at = 0
        wanted: list[tuple[str, range]] = []
        places: list[tuple[int, int, str]] = []
        for i, seam in enumerate(seams):
            for side, run in (("sew", seam.sew), ("to", seam.to)):
                span = range(at, at + len(run.parts))
                for k, reason in enumerate(lost[span.start : span.stop]):
                    if reason is not None:
                        raise self.lost(reason, seam, ("seam", i, side, k))
                for n, pair in enumerate(seam.meet):
                    wanted.append((pair[0] if side == "sew" else pair[1], span))
                    places.append((i, n, side))
                at = span.stop
        for (i, n, side), spot in zip(
            places, marks_on_runs(self.where, found, wanted), strict=True
        ):
            if isinstance(spot, str):
                seam = seams[i]
                pair = seam.meet[n]
                raise self.voice.refuse(
                    "plan.meet",
                    f'seam "{seam.name}": {spot} ("{pair[0]} = {pair[1]}")',
                    ("seam", i, "meet", n),
                    f"the {side} side is {seam.sew if side == 'sew' else seam.to}",
                    seam=seam.name,
                )
        return tuple(seams)

    def lost(self, reason: Lost, seam: Seam, place: Where) -> SeamwrightError:
        return self.voice.refuse(
            reason.code, reason.message, place, reason.hint, piece=reason.piece, seam=seam.name
        )

    def seam(self, i: int, seam: Seam) -> Seam:
        def run(side: Run, key: str) -> Run:
            return Run(
                parts=tuple(
                    self.part(part, ("seam", i, key, k), seam.name)
                    for k, part in enumerate(side.parts)
                )
            )

        sew, to = run(seam.sew, "sew"), run(seam.to, "to")
        meet = []
        for n, pair in enumerate(seam.meet):
            place = ("seam", i, "meet", n)
            meet.append(
                (
                    self.meeting(pair[0], sew, place, seam.name),
                    self.meeting(pair[1], to, place, seam.name),
                )
            )
        return replace(seam, sew=sew, to=to, meet=tuple(meet))

    def part(
        self,
        part: RunPart,
        place: Where,
        seam: str,
    ) -> RunPart:
        piece = self.voice.piece(part.piece, place, seam=seam)
        marks = tuple(self.mark(piece, mark, place, seam) for mark in part.marks)
        return RunPart(piece=piece, marks=marks)

    def mark(
        self,
        piece: str,
        mark: str,
        place: Where,
        seam: str,
    ) -> str:
        row = self.where.row(piece, mark)
        names = self.where.marks_of(piece)
        if row is None:
            found, _ = look_up(mark, names)
            if found is None:
                raise self.voice.refuse(
                    "plan.mark",
                    f'piece "{piece}" has no corner or notch "{mark}"',
                    place,
                    did_you_mean(mark, names),
                    piece=piece,
                    seam=seam,
                )
            self.voice.note(
                "plan.spelling",
                f'the plan\'s mark "{mark}" of piece "{piece}" is taken to be "{found}"',
                place,
                piece=piece,
            )
            return found
        if mark in self.where.doubles.get(piece, ()):
            raise self.voice.refuse(
                "plan.twice",
                f'in piece "{piece}" a corner and a notch are both called "{mark}"',
                place,
                "give one of them another name under [pieces]",
                piece=piece,
                seam=seam,
            )
        return self.where.names[row]

    def meeting(
        self,
        text: str,
        run: Run,
        place: Where,
        seam: str,
    ) -> str:
        mark = parse_mark(text)
        if mark.piece is not None:
            piece = self.voice.piece(mark.piece, place, seam=seam)
            name = self.mark(piece, mark.name, place, seam)
            return written_mark(name, piece=piece)
        pieces = run.pieces
        having = [p for p in pieces if self.where.row(p, mark.name) is not None]
        if not having:
            names = [name for p in pieces for name in self.where.marks_of(p)]
            found, _ = look_up(mark.name, names)
            if found is None:
                raise self.voice.refuse(
                    "plan.mark",
                    f'no corner or notch "{mark.name}" on {" or ".join(pieces)}',
                    place,
                    did_you_mean(mark.name, names),
                    seam=seam,
                )
            having = [p for p in pieces if self.where.row(p, found) is not None]
        # Which of several pieces is meant is settled by the place on the run.
        return written_mark(self.mark(having[0], mark.name, place, seam))
