"""What was wrong, what was done, how it is now: in plain words, for a person who sews."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import isfinite

import numpy as np

from seamwright.findings import Finding, Severity

from .cap import Cap
from .facts import Facts, SeamFacts
from .folds import Folds
from .markup import clean
from .say import Say


@dataclass(frozen=True, slots=True, kw_only=True)
class Story:
    """The verdict: a mood ("good", "mended", "bad", "unknown"), one headline, answers to
    questions, each one or more sentences, and what is left to look at."""

    mood: str
    headline: str
    answers: tuple[tuple[str, str], ...]
    left: tuple[str, ...]


def story_of(
    facts: Facts,
    folds: Folds,
    caps: tuple[dict[str, dict[str, Cap]], dict[str, dict[str, Cap]]],
    say: Say,
) -> Story:
    """The story of a run."""
    was = [seam for seam in facts.seams if _any(seam.out_before)]
    still = [seam for seam in facts.seams if _any(seam.out_after)]
    mood, headline = _headline(facts, was, still)
    answers: list[tuple[str, str]] = []
    if was:
        answers.append(("What was wrong", " ".join(_wrong(was, facts, say))))
    done = _done(facts, folds, say)
    if done:
        answers.append(("What was done", done))
    now = " ".join(_now(facts, was, still, caps, say))
    if now:
        answers.append(("How it is now", now))
    left = tuple(_left(facts, still, say))
    return Story(mood=mood, headline=headline, answers=tuple(answers), left=left)


def _headline(
    facts: Facts, was: Sequence[SeamFacts], still: Sequence[SeamFacts]
) -> tuple[str, str]:
    if not facts.seams:
        return "unknown", (
            "No seam was walked: there is no seam plan, so nothing is known of how the pieces "
            "go together."
        )
    unwalked = [s for s in facts.seams if not np.isfinite(s.after).any()]
    if len(unwalked) == len(facts.seams):
        return (
            "unknown",
            "No seam could be walked, so nothing is known of how the pieces go together.",
        )
    cap_was = any(s.seam.cap and _most_over(s.out_before) > 0 for s in was)
    if still:
        if any(s not in still for s in was) or _less(was):
            return "bad", (
                f"Better, but not done: {_seams(still)} still "
                f"{'does' if len(still) == 1 else 'do'} not go together."
            )
        return "bad", f"{_seams(still).capitalize()} {_does(still)} not go together."
    if was and cap_was:
        return "mended", (
            "The sleeve cap held more ease than the cloth takes. It has been taken out, and the "
            "sleeve goes into the armhole now."
        )
    if was:
        return "mended", f"{_seams(was).capitalize()} did not go together and {_does(was)} now."
    if unwalked:
        return "unknown", (
            f"What could be walked goes together; {_seams(unwalked)} could not be walked."
        )
    return "good", "The pieces go together: every seam is within its range in every size."


def _wrong(was: Sequence[SeamFacts], facts: Facts, say: Say) -> Iterable[str]:
    caps = [s for s in was if s.seam.cap and _most_over(s.out_before) > 0]
    z = facts.base
    if caps:
        if len(facts.sizes) > 1:
            yield f"In size {clean(facts.sizes[z])}, the size that was drafted,"
        parts = [
            f"{say.both(float(s.before[z]))} of ease in the {s.seam.cap}, where "
            f"{say.both(s.at_most)} is allowed"
            for s in _halves(caps)
            if isfinite(float(s.before[z]))
        ]
        start = "the" if len(facts.sizes) > 1 else "The"
        yield f"{start} sleeve cap held {', and '.join(parts)}."
        if len(facts.sizes) > 1:
            yield _where(caps, facts)
        yield (
            "Ease is how much longer the cap's edge is than the armhole. What the cloth cannot "
            "take in shows as puckers along the seam."
        )
    for seam in [s for s in was if s not in caps][:4]:
        yield _one_wrong(seam, facts, say)
    more = len([s for s in was if s not in caps]) - 4
    if more > 0:
        yield f"So it is with {more} more; the table of seams has them all."


def _halves(seams: Sequence[SeamFacts]) -> list[SeamFacts]:
    return sorted(seams, key=lambda s: s.seam.cap or "")


def _where(seams: Sequence[SeamFacts], facts: Facts) -> str:
    out = np.zeros(len(facts.sizes), dtype=bool)
    for seam in seams:
        out |= np.nan_to_num(seam.out_before) != 0
    if out.all():
        return "It was too much in every size."
    return f"It was too much in {_list([s for s, o in zip(facts.sizes, out, strict=True) if o])}."


def _one_wrong(seam: SeamFacts, facts: Facts, say: Say) -> str:
    z = int(np.nanargmax(np.abs(seam.out_before)))
    by = float(seam.out_before[z])
    count = int((np.nan_to_num(seam.out_before) != 0).sum())
    sizes = f", in {count} of {len(facts.sizes)} sizes" if len(facts.sizes) > 1 else ""
    at = f" (size {clean(facts.sizes[z])})" if len(facts.sizes) > 1 else ""
    return (
        f"Seam “{clean(seam.name)}”: the first edge is too {'long' if by > 0 else 'short'} by "
        f"up to {say.both(abs(by))}{at}{sizes}."
    )


def _done(facts: Facts, folds: Folds, say: Say) -> str:
    out = []
    if folds:
        what = "overlapped cuts" if folds.manner == "slash" else "tucks"
        each = [
            f"{_span(sorted({len(f.of(half)) for f in folds.all} - {0}))} in the {half}"
            for half in ("back", "front")
            if any(f.of(half) for f in folds.all)
        ]
        widest = max(fold.width for f in folds.all for fold in f.folds)
        many = len(facts.sizes) > 1
        cloth = f", for {clean(folds.cloth)} cloth" if folds.cloth else ""
        out.append(
            f"The surplus was taken out of the cap in {what}{cloth}: {' and '.join(each)}, none "
            f"wider than {say.both(widest)} at the edge; then the cap was pressed flat and drawn "
            f"round anew. Where to fold stands below{', size by size' if many else ''}."
        )
    changed = facts.changed
    same = [p for p in facts.pieces if not p.changed]
    if changed:
        told = f"Changed: {_list([p.name for p in changed])}."
        if same:
            told += f" Untouched: {_list([p.name for p in same])}."
        out.append(told)
    elif refused := list(dict.fromkeys(step for step, _ in _refusals(facts))):
        out.append(f"Nothing was altered: {_list(refused)} could not do what was asked.")
    elif facts.record.steps:
        out.append("Nothing was altered: the pieces were looked at only.")
    return " ".join(out)


def _now(
    facts: Facts,
    was: Sequence[SeamFacts],
    still: Sequence[SeamFacts],
    caps: tuple[dict[str, dict[str, Cap]], dict[str, dict[str, Cap]]],
    say: Say,
) -> Iterable[str]:
    mended = [s for s in was if s not in still]
    halves = _halves([s for s in mended if s.seam.cap])
    z = facts.base
    if halves:
        size = f"In size {clean(facts.sizes[z])} the" if len(facts.sizes) > 1 else "The"
        parts = [f"{s.seam.cap} of the cap holds {say.both(float(s.after[z]))}" for s in halves]
        yield f"{size} {', the '.join(parts)} of ease."
    for sleeve, old in caps[0].items():
        new = caps[1].get(sleeve, {})
        both = [s for s in facts.sizes if s in old and s in new]
        moved = [s for s in both if abs(old[s].height - new[s].height) > 0.005]
        if not moved:
            continue
        size = facts.sizes[z] if facts.sizes[z] in moved else moved[0]
        drop = old[size].height - new[size].height
        at = f" in size {clean(size)}" if len(facts.sizes) > 1 else ""
        yield (
            f"The shoulder point lies {say.both(abs(drop))} {'lower' if drop > 0 else 'higher'}"
            f"{at}."
        )
        wider = max(abs(old[s].bicep - new[s].bicep) for s in both)
        if wider <= 1e-6:
            every = ", in every size" if len(both) > 1 else ""
            yield f"The bicep line is as wide as it was{every}."
        else:
            yield f"The bicep line changed by up to {say.full(wider)}."
    if facts.seams and not still and was:
        yield "Every seam was walked again and lies within its range."


def _refusals(facts: Facts) -> list[tuple[str, Finding]]:
    """What alterations could not do: the step's short name, and its errors."""
    return [
        (step.use.rpartition("/")[2], finding)
        for step in facts.record.steps
        if step.kind == "alteration"
        for finding in step.findings
        if finding.severity is Severity.ERROR
    ]


def _left(facts: Facts, still: Sequence[SeamFacts], say: Say) -> list[str]:
    refusals = _refusals(facts)
    told = [(clean(f.message), clean(f.hint or "")) for _, f in refusals[:3]]
    out = [f"{_sentence(message)} {_sentence(hint)}".strip() for message, hint in told]
    if len(refusals) > 3:
        out.append(f"{len(refusals) - 3} more refusals stand among the findings.")
    out += [_still_wrong(seam, facts, say) for seam in still[:6]]
    if len(still) > 6:
        out.append(f"{len(still) - 6} more seams stand in the table.")
    bad = [p for p in facts.pairs if float(np.nanmax(np.abs(p.after), initial=0.0)) > 1.5 + 1e-9]
    for pair in bad[:4]:
        most = float(np.nanmax(np.abs(pair.after)))
        first, second = map(clean, pair.names)
        which = f"“{first}”" if first == second else f"“{first}” and “{second}”"
        seam_name = clean(pair.seam)
        out.append(f"Notches {which} of seam “{seam_name}” miss one another by {say.both(most)}.")
    if len(bad) > 4:
        out.append(f"{len(bad) - 4} more pairs of notches stand in the table.")
    # What the reader had to suppose decides whether any figure here is right: say it up here.
    doubts = [f for f in facts.record.read_findings if f.severity is not Severity.NOTE]
    for finding in sorted(doubts, key=lambda f: -f.severity.rank)[:3]:
        out.append(_sentence(clean(finding.message)))
    if len(doubts) > 3:
        out.append(f"{len(doubts) - 3} more doubts about the drawing stand among the findings.")
    return out


def _sentence(text: str) -> str:
    text = text.rstrip(".")
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def _still_wrong(seam: SeamFacts, facts: Facts, say: Say) -> str:
    z = int(np.nanargmax(np.abs(seam.out_after)))
    by = float(seam.out_after[z])
    at = f" in size {clean(facts.sizes[z])}" if len(facts.sizes) > 1 else ""
    return (
        f"Seam “{clean(seam.name)}” is too {'long' if by > 0 else 'short'} by up to "
        f"{say.both(abs(by))}{at}."
    )


def _any(out: np.ndarray) -> bool:
    return bool((np.nan_to_num(out) != 0).any())


def _most_over(out: np.ndarray) -> float:
    return float(np.nanmax(out, initial=0.0))


def _less(was: Sequence[SeamFacts]) -> bool:
    return any(s.worst[0] < s.worst[1] - 0.05 for s in was)


def _seams(seams: Sequence[SeamFacts]) -> str:
    if len(seams) == 1:
        return f"seam “{clean(seams[0].name)}”"
    return f"{len(seams)} seams"


def _does(seams: Sequence[SeamFacts]) -> str:
    return "does" if len(seams) == 1 else "do"


def _span(counts: Sequence[int]) -> str:
    return str(counts[0]) if len(counts) == 1 else f"{counts[0]} to {counts[-1]}"


def _list(names: Sequence[str]) -> str:
    names = [clean(name) for name in names]
    if len(names) > 8:
        return f"{', '.join(names[:7])} and {len(names) - 7} more"
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"
