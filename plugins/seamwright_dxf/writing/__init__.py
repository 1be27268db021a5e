"""From pattern to DXF: names made legal, curves flattened, tags written."""
