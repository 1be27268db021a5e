"""The descriptors of the notch steps."""

from __future__ import annotations

from seamwright.plugins.api import API as API
