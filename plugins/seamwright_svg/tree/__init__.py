"""The XML tree of a drawing: parsed within limits, styled, written."""
