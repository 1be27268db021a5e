"""On which line of a TOML text each key stands: the standard parser does not say.

The text has been parsed already, so it is known to be good TOML; this only counts lines.
"""

from __future__ import annotations

Place = tuple["str | int", ...]

_BARE = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_-")
_ESCAPES = {"b": "\b", "t": "\t", "n": "\n", "f": "\f", "r": "\r", "e": "\x1b"}


def key_lines(text: str) -> dict[Place, int]:
    """Place -> line (1-based) of every table, key and array element of a good TOML text.

    A place is the way to an entry: ("pieces", "Sleeve", "corners", 2), ("seam", 0, "sew").
    """
    return _Scan(text.replace("\r\n", "\n")).run()


class _Scan:
    def __init__(self, text: str) -> None:
        self.text = text
        self.i = 0
        self.line = 1
        self.found: dict[Place, int] = {}
        self.tables: dict[Place, int] = {}  # arrays of tables -> how many so far

    def run(self) -> dict[Place, int]:
        here: Place = ()
        while self.blank():
            if self.text[self.i] == "[":
                here = self.header()
            else:
                self.pair(here)
        return self.found

    def blank(self) -> bool:
        """Steps over white space and comments; False at the end."""
        while self.i < len(self.text):
            c = self.text[self.i]
            if c == "\n":
                self.line += 1
                self.i += 1
            elif c in " \t\ufeff\r":
                self.i += 1
            elif c == "#":
                end = self.text.find("\n", self.i)
                self.i = len(self.text) if end < 0 else end
            else:
                return True
        return False

    def header(self) -> Place:
        line = self.line
        several = self.text.startswith("[[", self.i)
        self.i += 2 if several else 1
        keys = self.keys()
        self.i += 2 if several else 1
        place: Place = ()
        for n, key in enumerate(keys, start=1):
            place = (*place, key)
            if several and n == len(keys):
                self.tables[place] = self.tables.get(place, 0) + 1
                self.found.setdefault(place, line)
            if place in self.tables:
                place = (*place, self.tables[place] - 1)
            self.found.setdefault(place, line)
        return place

    def pair(self, here: Place) -> None:
        line = self.line
        place = here
        for key in self.keys():
            place = (*place, key)
            self.found.setdefault(place, line)
        self.i += 1  # the equals sign
        self.value(place)

    def keys(self) -> list[str]:
        """A dotted key, up to the sign that ends it."""
        out = []
        while True:
            self.blank()
            c = self.text[self.i]
            if c in "\"'":
                out.append(self.string())
            else:
                start = self.i
                while self.i < len(self.text) and self.text[self.i] in _BARE:
                    self.i += 1
                out.append(self.text[start : self.i])
            self.blank()
            if self.i >= len(self.text) or self.text[self.i] != ".":
                return out
            self.i += 1

    def value(self, place: Place) -> None:
        self.blank()
        c = self.text[self.i]
        if c in "\"'":
            self.string()
        elif c == "[":
            self.i += 1
            n = 0
            while self.blank() and self.text[self.i] != "]":
                self.found.setdefault((*place, n), self.line)
                self.value((*place, n))
                n += 1
                self.blank()
                if self.text[self.i] == ",":
                    self.i += 1
            self.i += 1
        elif c == "{":
            self.i += 1
            while self.blank() and self.text[self.i] != "}":
                self.pair(place)
                self.blank()
                if self.text[self.i] == ",":
                    self.i += 1
            self.i += 1
        else:
            while self.i < len(self.text) and self.text[self.i] not in ",]}\n#":
                self.i += 1

    def string(self) -> str:
        quote = self.text[self.i]
        long = self.text.startswith(quote * 3, self.i)
        self.i += 3 if long else 1
        out: list[str] = []
        while True:
            c = self.text[self.i]
            if c == "\\" and quote == '"':
                out.append(self.escape())
                continue
            if c == quote and not long:
                self.i += 1
                return "".join(out)
            if c == quote and self.text.startswith(quote * 3, self.i):
                self.i += 3
                while self.i < len(self.text) and self.text[self.i] == quote:
                    self.i += 1  # up to two quotes may stand before the closing three
                return "".join(out)
            if c == "\n":
                self.line += 1
            out.append(c)
            self.i += 1

    def escape(self) -> str:
        c = self.text[self.i + 1]
        width = {"x": 2, "u": 4, "U": 8}.get(c)
        if width is not None:
            code = self.text[self.i + 2 : self.i + 2 + width]
            self.i += 2 + width
            return chr(int(code, 16))
        if c == "\n":
            self.line += 1
        self.i += 2
        return _ESCAPES.get(c, c)
