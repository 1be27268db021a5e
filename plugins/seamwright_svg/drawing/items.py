"""What a drawing holds once transforms, uses and styles are resolved: strokes and texts in mm."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from seamwright.geometry import Curve

from ..measures.matrices import IDENTITY, Matrix
from ..tree.parse import Node
from ..words.labels import NOTHING, Words, read_label
from ..words.roles import Role


class Looks(NamedTuple):
    """Inherited style, as far as it says something. font_size in user units."""

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
    """An element with what its attributes call it.

    label  the layer or object label (or `data-name`); title: its title child; id; classes
    """

    node: Node
    label: Words = NOTHING
    title: Words = NOTHING
    id: Words = NOTHING
    classes: tuple[Words, ...] = ()

    @classmethod
    def of(cls, node: Node) -> Named:
        """Reads the element's label, title, id and classes."""
        attrs = node.attrs
        label = attrs.get("inkscape:label") or attrs.get("data-name") or ""
        title = ""
        for child in node.children:
            if child.tag == "title":
                title = child.content()
                break
        classes = attrs.get("class")
        return cls(
            node,
            read_label(label) if label else NOTHING,
            read_label(title) if title else NOTHING,
            read_label(attrs["id"]) if "id" in attrs else NOTHING,
            tuple(map(read_label, classes.split())) if classes else (),
        )

    def data(self, name: str) -> str | None:
        """The value of a `data-...` attribute."""
        return self.node.attrs.get(f"data-{name}")

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
        """The role that `data-role` states."""
        said = self.node.attrs.get("data-role")
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
    matrix  from the element's user units to mm
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
