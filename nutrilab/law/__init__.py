"""What the label law says, as figures: energy factors, conversions, rounding, reference intakes, bands.

Knows no food table and no dish; the loaders convert and check by it, the core cooks and declares by it. Its rules stand
in data files with their sources: energy_factors.csv, rounding.csv, nrv.csv, reference_intakes.csv, bands.csv.
"""
