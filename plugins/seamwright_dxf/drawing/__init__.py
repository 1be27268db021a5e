"""From tags to geometry: records, strokes, points, texts, blocks and where they are placed."""
