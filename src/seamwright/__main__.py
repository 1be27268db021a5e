"""`python -m seamwright`: the same as the command."""

from __future__ import annotations

from seamwright.cli.main import main

main()
