"""The chemistry of a bar: pure rules, no Django, no clock, no database.

`records` (what goes in) and `results` (what comes out) are plain frozen records. `compute.compute_formula` judges and
reckons a whole formula; `bench` does the same from what the scale showed; the other modules hold one subject each.
Masses in grams, SAP in mg KOH per g, densities in g/mL. Nothing is rounded in here.
"""
