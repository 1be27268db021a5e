"""What a drawing holds, whatever file it came in: strokes and texts in mm, y up, and what they are
called."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple, Protocol

from seamwright.geometry import Curve

from .matrices import IDENTITY, Matrix
from .words.labels import NOTHING, Words
from .words.roles import Role


class Place(Protocol):
    """Where in its file something stands: an id ("" for none) and a line (None for none)."""

    @property
    def id(self) -> str: ...

    @property
    def line(self) -> int | None: ...


class Spot(NamedTuple):
    """A place in a file without lines: its id says where ("page 3", "pen 2")."""

    id: str = ""
    line: int | None = None


class Looks(NamedTuple):
    """Inherited style, as far as it says something. font_size in the file's units."""

    visible: bool = True
    dashed: bool = False
    stroked: bool = False
    filled: bool = True
    marker_start: bool = False
    marker_end: bool = False
    font_size: float = 16.0
    anchor: str = "start"


@dataclass(slots=True, eq=False)
class Named:
    """A drawn thing or a container with what the file calls it.

    node   where it stands
    label  the layer's or object's label; title; id; classes
    facts  what our own writers say of it, by name ("piece", "role", "station", ...)
    untouched  whether it still is what our own writer drew: then figures among the facts count
    """

    node: Place
    label: Words = NOTHING
    title: Words = NOTHING
    id: Words = NOTHING
    classes: tuple[Words, ...] = ()
    facts: Mapping[str, str] = field(default_factory=dict)
    untouched: bool = False

    def data(self, name: str) -> str | None:
        """What our own writer says of it under that name."""
        return self.facts.get(name)

    @property
    def names(self) -> tuple[Words, ...]:
        """Sources of a name, best first."""
        return (self.label, self.title, self.id)

    @property
    def all_words(self) -> tuple[Words, ...]:
        """Sources of a role or a size, best first."""
        return (self.label, *self.classes, self.title, self.id)

    @property
    def said_role(self) -> Role | None:
        """The role that our own writer states."""
        said = self.facts.get("role")
        if said is None:
            return None
        try:
            return Role(said)
        except ValueError:
            return None

    def role_words(self) -> Words | None:
        """The label that states a role, None where none does."""
        return next((w for w in self.all_words if w.role is not None), None)


@dataclass(slots=True, eq=False)
class Group:
    """A container on the way from the root to an element: a group, layer, clone or drawing.

    cloned  whether it stands here through a `use` (its parent): then its name is second to that
    speaks  whether a role in its label holds for what is in it although the label says more
            ("grain line, front")
    """

    named: Named
    parent: Group | None
    cloned: bool = False
    speaks: bool = False

    def chain(self) -> list[Group]:
        """From the outermost container to this one."""
        out: list[Group] = []
        group: Group | None = self
        while group is not None:
            out.append(group)
            group = group.parent
        out.reverse()
        return out

    def up(self) -> Iterator[Group]:
        """From this container outward."""
        group: Group | None = self
        while group is not None:
            yield group
            group = group.parent


@dataclass(slots=True, eq=False)
class Stroke:
    """One stretch of a drawn line in mm, y up.

    curve   closed where the file closes it, or where its ends meet
    order   position in the drawing; strokes of one element share `named`
    verbatim  whether our own writer drew it: then its segments are taken as they stand
    matrix  from the coordinates in which its facts speak to mm
    """

    curve: Curve
    named: Named
    group: Group | None
    looks: Looks
    order: int
    verbatim: bool = False
    matrix: Matrix = IDENTITY

    def chain(self) -> list[Group]:
        """The containers around it, outermost first."""
        return self.group.chain() if self.group else []


@dataclass(slots=True, eq=False)
class Lettering:
    """A text in mm, y up: `at` the start of its baseline, `anchor` the point the file gives."""

    text: str
    at: tuple[float, float]
    anchor: tuple[float, float]
    height: float
    rotation: float
    named: Named
    group: Group | None
    order: int

    def chain(self) -> list[Group]:
        """The containers around it, outermost first."""
        return self.group.chain() if self.group else []


@dataclass(slots=True)
class Drawing:
    """Everything that was found, in document order."""

    strokes: list[Stroke] = field(default_factory=list)
    texts: list[Lettering] = field(default_factory=list)
    elements: int = 0
