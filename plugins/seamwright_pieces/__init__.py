"""Operations on whole pieces: split, join, halves, mirror, grain, scale, facings, hems."""
