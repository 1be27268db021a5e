"""The manual as a folder of HTML: one page a topic, pictures inside, nothing from elsewhere."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from pathlib import Path
from typing import Final

from seamwright import __version__
from seamwright.findings import SeamwrightError

from .examples import examples_of, show
from .markdown import html_of
from .topics import Topic

_TITLES: Final = {
    "guide": "Guides", "format": "Formats", "step": "Steps", "report": "Reports",
    "pipeline": "Pipelines that ship", "python": "From Python",
}  # fmt: skip

_STYLE: Final = """
:root{--ink:#1f2a30;--paper:#fdfcf9;--soft:#5a666d;--line:#d8d3c6;--now:#0072b2;--cut:#b84a00}
@media(prefers-color-scheme:dark){:root{--ink:#e8e6df;--paper:#16191b;--soft:#a8b0b4;--line:#3c4348;
--now:#6db8ea;--cut:#f0a46b}}
body{font:16px/1.55 system-ui,"DejaVu Sans",sans-serif;color:var(--ink);background:var(--paper);
max-width:48rem;margin:0 auto;padding:1rem 1.2rem 4rem}
a{color:var(--now)}h1{line-height:1.2}table{border-collapse:collapse;display:block;overflow-x:auto}
td,th{border:1px solid var(--line);padding:.3rem .6rem;text-align:left;vertical-align:top}
pre{border:1px solid var(--line);padding:.7rem;overflow-x:auto}code{font-size:.92em}
figure{margin:1.2rem 0}figcaption{color:var(--soft);font-size:.9em}
svg.shown{width:100%;max-height:34rem;border:1px solid var(--line)}
.seam,.cut,.inside,.dart{fill:none;stroke-width:1.6;vector-effect:non-scaling-stroke}
.was{stroke:var(--soft);stroke-dasharray:5 4}.now{stroke:var(--now)}.cut.now{stroke:var(--cut)}
.notch{fill:var(--now);stroke:none}.notch.was{fill:var(--soft)}
.name{font-size:16px;text-anchor:middle;fill:var(--ink)}
@media print{body{max-width:none}a{color:inherit}}
"""


def write_manual(folder: Path, known: Iterable[Topic]) -> list[Path]:
    """Writes the manual into `folder`, which must be new or empty: the files, index first.

    Pictures are drawn here and now, by running each step's own example. Raises SeamwrightError
    for a folder with something in it.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise SeamwrightError.of(
            "output.exists", f"{folder} is not an empty folder", hint="name a new one"
        )
    topics = list(known)
    folder.mkdir(parents=True, exist_ok=True)
    made = [folder / "index.html"]
    made[0].write_text(_page("Manual", _index(topics), home=False), encoding="utf-8")
    for topic in topics:
        path = folder / file_of(topic)
        text = topic.text()
        body = html_of(text)
        if topic.kind == "step":
            body += _pictures(text)
        path.write_text(_page(topic.name, body), encoding="utf-8")
        made.append(path)
    return made


def file_of(topic: Topic) -> str:
    """A file name for a topic, whatever characters a plugin put into its name."""
    name = "".join(c if c.isascii() and (c.isalnum() or c in "-.") else "-" for c in topic.name)
    return f"{topic.kind}-{name}.html"


def _index(topics: list[Topic]) -> str:
    out = [f"<h1>Seamwright {escape(__version__)}</h1>"]
    for kind, title in _TITLES.items():
        own = [t for t in topics if t.kind == kind]
        if own:
            rows = "".join(
                f'<tr><td><a href="{escape(file_of(t), quote=True)}">{escape(t.name)}</a></td>'
                f"<td>{escape(t.help)}</td></tr>"
                for t in own
            )
            out.append(f"<h2>{title}</h2><table><tbody>{rows}</tbody></table>")
    return "".join(out)


def _pictures(page: str) -> str:
    out = []
    for example in examples_of(page)[:1]:
        shown = show(example)
        if shown is None:
            continue
        words = f"The example above, run on: {escape(shown.pattern)}."
        if shown.svg:
            words += " Dashed: before. Full lines: after."
        said = "".join(f"<li>{escape(f.message)}</li>" for f in shown.said[:6])
        said = f"<ul>{said}</ul>" if said else ""
        out.append(f"<figure>{shown.svg}<figcaption>{words}{said}</figcaption></figure>")
    return "<h2>Shown</h2>" + "".join(out) if out else ""


def _page(title: str, body: str, *, home: bool = True) -> str:
    nav = '<nav><a href="index.html">All pages</a></nav>' if home else ""
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
        "style-src 'unsafe-inline'\">"
        f"<title>{escape(title)} - Seamwright</title><style>{_STYLE}</style></head>"
        f"<body>{nav}<main>{body}</main></body></html>\n"
    )
