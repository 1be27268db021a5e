"""Opening a PDF with its limits set, and what is said of the document as a whole."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from typing import Any

from seamwright.plugins.api import SeamwrightError

from .bounds import Bounds
from .content import plain
from .objects import entry


@contextmanager
def opened(data: bytes, bounds: Bounds, file: str) -> Iterator[Any]:
    """The document, closed afterwards; qpdf's limits hold as long as it is open.

    Raises SeamwrightError: pdf.encrypted, pdf.broken, pdf.limit.
    """
    import pikepdf  # noqa: PLC0415 - heavy
    from pikepdf import settings  # noqa: PLC0415

    before: Any = settings.set_qpdf_limits(
        flate_max_memory=bounds.one_stream,
        run_length_max_memory=bounds.one_stream,
        png_max_memory=bounds.one_stream,
        tiff_max_memory=bounds.one_stream,
        max_stream_filters=4,
        parser_max_container_size=1_000_000,
        doc_max_warnings=1000,
    )
    try:
        try:
            pdf = pikepdf.Pdf.open(BytesIO(data))
        except pikepdf.PasswordError:
            raise SeamwrightError.of(
                "pdf.encrypted",
                "the file is locked with a password",
                file=file,
                hint="save it without the password, if you may",
            ) from None
        except (pikepdf.PdfError, ValueError, RecursionError) as error:
            raise _broken(error, file, bounds) from None
        with pdf:
            try:
                yield pdf
            except (pikepdf.PdfError, RecursionError) as error:
                raise _broken(error, file, bounds) from None
    finally:
        settings.set_qpdf_limits(**before)


def _broken(error: Exception, file: str, bounds: Bounds) -> SeamwrightError:
    said = str(error).split(": ", 1)[-1][:200]
    if "limit" in said:
        try:
            bounds.over("bytes", f"more than is unfolded ({said})")
        except SeamwrightError as over:
            return over
    return SeamwrightError.of(
        "pdf.broken",
        f"the file is damaged: {said}",
        file=file,
        hint="save it again, or get it again",
    )


def info(pdf: Any, key: str) -> Any:
    """An entry of the document's information, as plain Python; None where there is none."""
    try:
        value = entry(pdf.docinfo, f"/{key}")
    except (AttributeError, KeyError, TypeError, ValueError):
        return None
    return None if value is None else plain(value)


def active_parts(pdf: Any) -> list[str]:
    """What the file would like to do or bring along: scripts, actions, files. None of it is
    touched."""
    root = pdf.Root
    found = []
    names = entry(root, "/Names")
    if "/OpenAction" in root or "/AA" in root:
        found.append("actions on opening")
    for key, what in (("/JavaScript", "scripts"), ("/EmbeddedFiles", "files")):
        if names is not None and key in names:
            found.append(what)
    if "/AcroForm" in root:
        found.append("a form to fill in")
    return found
