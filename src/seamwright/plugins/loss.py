"""What a format will drop or simplify of a pattern: used minus carried, one finding a feature."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

from seamwright.findings import Finding, SeamwrightError, Severity, did_you_mean

from .building import Where
from .descriptors import DROPPED, Carried, Feature, Format
from .features import Used, used

if TYPE_CHECKING:
    from seamwright.model import Pattern


def losses(
    pattern: Pattern,
    format: Format,
    *,
    options: Any = None,
    accepted: Mapping[Feature, str] | None = None,
    strict: bool = False,
) -> tuple[Finding, ...]:
    """loss.dropped and loss.simplified for everything that `format` does not carry exactly when
    it is written with `options`.

    accepted  features whose loss was accepted by name, each with its reason (may be ""): notes
    strict    the others are errors, not warnings

    A feature that the format does not mention is dropped.
    """
    out = []
    carried = carries_with(format, options)
    for feature, use in used(pattern, format=format.name).items():
        how = carried.get(feature, DROPPED)
        if how.how == "exact":
            continue
        reason = (accepted or {}).get(feature)
        severity = Severity.ERROR if strict else Severity.WARNING
        out.append(_finding(format, feature, use, how, reason, severity))
    return tuple(out)


def carries_with(format: Format, options: Any = None) -> Mapping[Feature, Carried]:
    """What a format carries when it is written with those options."""
    if options is None or format.writer is None or format.writer.carries is None:
        return format.carries
    return format.writer.carries(options)


def accepted_features(
    names: Mapping[str, str] | Iterable[str], *, where: Where
) -> dict[Feature, str]:
    """Features by name ("text", "slit notch" or "slit-notch") -> reason. Raises SeamwrightError
    for a name that is no feature."""
    by_name = {feature.value.replace(" ", "-").casefold(): feature for feature in Feature}
    reasons = names if isinstance(names, Mapping) else dict.fromkeys(names, "")
    out: dict[Feature, str] = {}
    for name, reason in reasons.items():
        feature = by_name.get(name.strip().replace(" ", "-").casefold())
        if feature is None:
            raise SeamwrightError(
                where.finding(
                    "loss.unknown-feature",
                    f'there is no feature "{name}" whose loss could be accepted',
                    ("accept-loss", name),
                    did_you_mean(name, by_name),
                )
            )
        out[feature] = reason
    return out


def _finding(
    format: Format, feature: Feature, use: Used, how: Carried, reason: str | None, worse: Severity
) -> Finding:
    dropped = how.how == "dropped"
    fate = "is dropped" if dropped else f"is kept within {how.tolerance or 'a tolerance'} only"
    accepted = reason is not None
    name = feature.value.replace(" ", "-")
    if accepted:
        hint = f"accepted: {reason}" if reason else "accepted by name"
    else:
        hint = f"write a format that carries it, or accept the loss by name: {name}"
    return Finding(
        code="loss.dropped" if dropped else "loss.simplified",
        severity=Severity.NOTE if accepted else worse,
        message=f"in {format.name}, {feature.value} {fate}: {_where(use)}",
        piece=use.pieces[0] if len(use.pieces) == 1 else None,
        size=use.sizes[0] if len(use.sizes) == 1 else None,
        x=use.place[0] if use.place else None,
        y=use.place[1] if use.place else None,
        hint=hint,
    )


def _where(use: Used) -> str:
    words = [f"{use.count} in all" if use.count > 1 else "1"]
    if use.pieces:
        shown = ", ".join(use.pieces[:4]) + (" ..." if len(use.pieces) > 4 else "")
        words.append(f"in {shown}")
    if len(use.sizes) > 1:
        words.append(f"in {len(use.sizes)} sizes")
    elif use.sizes:
        words.append(f"in size {use.sizes[0]}")
    return ", ".join(words)
