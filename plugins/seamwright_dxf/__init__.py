"""DXF: the exchange format of cutting rooms, read and written; and its rule tables."""
