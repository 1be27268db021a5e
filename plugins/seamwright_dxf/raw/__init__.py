"""The raw truth of a DXF file: tags, numbers, bytes and text, sections, damage."""
