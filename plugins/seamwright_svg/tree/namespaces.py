"""Namespaces and the short forms under which this plugin knows their names."""

from __future__ import annotations

from typing import Final

SVG: Final = "http://www.w3.org/2000/svg"
XLINK: Final = "http://www.w3.org/1999/xlink"
INKSCAPE: Final = "http://www.inkscape.org/namespaces/inkscape"
SODIPODI: Final = "http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd"
XML: Final = "http://www.w3.org/XML/1998/namespace"
OWN: Final = "urn:seamwright:svg:1"

#: Namespace -> prefix in `Node.tag` and `Node.attrs`; SVG's own names stand bare.
PREFIXES: Final = {
    SVG: "",
    XLINK: "xlink:",
    INKSCAPE: "inkscape:",
    SODIPODI: "sodipodi:",
    XML: "xml:",
    OWN: "seamwright:",
}
