"""PDF: patterns on paper at true size, in tiles or on one sheet, and vector patterns read in."""
