"""What stands behind the scales (measures.py): units, words, densities, pieces, refuse, one ground a module."""
