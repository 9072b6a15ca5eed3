"""Tables that the chemistry reads: NaOH solutions, heats of solution, fatty acids. Each names its source."""

from decimal import Decimal


def _rows(text: str) -> tuple[tuple[Decimal, ...], ...]:
    return tuple(tuple(Decimal(cell) for cell in line.split()) for line in text.strip().splitlines())


# Density (g/mL) of NaOH solutions and their heat capacity (kJ/kg K) at 60 C. Computed from the correlation in
# J. Chem. Eng. Data 54 (2009) 1725, doi 10.1021/je8008123, fitted to 50.3 % and 4 to 120 C; the heat capacity is
# extrapolated above 30.3 %.
SOLUTION_CELSIUS = tuple(Decimal(celsius) for celsius in (10, 20, 25, 40, 50, 60, 80))
# percent NaOH | density at each temperature | heat capacity at 60 C
NAOH_SOLUTIONS = _rows("""
2       1.0218 1.0202 1.0189 1.0138 1.0095 1.0044 0.9926  4.093
5       1.055  1.0532 1.0519 1.0464 1.0418 1.0365 1.0241  3.989
8       1.0884 1.0864 1.085  1.0792 1.0744 1.0688 1.0558  3.906
10      1.1106 1.1085 1.1071 1.1011 1.0961 1.0904 1.0772  3.861
12      1.1328 1.1307 1.1292 1.1231 1.1179 1.1121 1.0986  3.821
15      1.1661 1.1638 1.1623 1.156  1.1507 1.1447 1.1308  3.77
18      1.1992 1.1969 1.1952 1.1888 1.1835 1.1774 1.1632  3.727
20      1.221  1.2187 1.2171 1.2107 1.2053 1.1991 1.1849  3.702
22      1.2428 1.2405 1.2389 1.2324 1.227  1.2208 1.2065  3.679
25      1.2751 1.2728 1.2712 1.2648 1.2595 1.2533 1.239   3.647
26      1.2857 1.2835 1.2819 1.2756 1.2702 1.2641 1.2498  3.638
28      1.3068 1.3047 1.3032 1.2969 1.2917 1.2856 1.2715  3.619
30      1.3277 1.3257 1.3242 1.3181 1.3129 1.307  1.293   3.601
32      1.3483 1.3464 1.345  1.3391 1.3341 1.3282 1.3146  3.585
33      1.3584 1.3566 1.3553 1.3495 1.3446 1.3388 1.3253  3.576
33.333  1.3618 1.36   1.3587 1.353  1.348  1.3423 1.3288  3.574
34      1.3685 1.3668 1.3655 1.3599 1.355  1.3493 1.336   3.568
35      1.3785 1.3769 1.3756 1.3701 1.3654 1.3598 1.3467  3.561
36      1.3884 1.3869 1.3857 1.3804 1.3757 1.3702 1.3573  3.553
38      1.4079 1.4066 1.4055 1.4006 1.3962 1.391  1.3785  3.537
40      1.427  1.426  1.425  1.4205 1.4164 1.4114 1.3996  3.522
42      1.4457 1.445  1.4441 1.4401 1.4363 1.4317 1.4205  3.508
45      1.4728 1.4726 1.4721 1.4688 1.4655 1.4615 1.4514  3.486
48      1.4988 1.4992 1.4989 1.4966 1.494  1.4907 1.482   3.464
50      1.5155 1.5163 1.5163 1.5147 1.5126 1.5097 1.502   3.45
""")

# Heat set free by 1 mol of NaOH in so many mol of water, kJ at 25 C: integral heats of solution, from memory of a
# process-engineering table.
NAOH_DISSOLVING_HEATS = _rows("""
3    28.87
4    34.43
5    37.74
10   42.51
20   42.84
50   42.51
100  42.34
""")
# In endless water, kJ/mol at 25 C: handbook table after NSRDS-NBS 2 (1965).
NAOH_DISSOLVING_HEAT_LIMIT = Decimal("44.51")
KOH_DISSOLVING_HEAT_LIMIT = Decimal("57.61")

# Fatty acids in g/mol, from the IUPAC standard atomic weights (2021) through molmass.
FATTY_ACIDS_G_PER_MOL = {
    "C4:0": Decimal("88.1053"),
    "C6:0": Decimal("116.1585"),
    "C8:0": Decimal("144.2118"),
    "C10:0": Decimal("172.2650"),
    "C12:0": Decimal("200.3183"),
    "C14:0": Decimal("228.3715"),
    "C16:0": Decimal("256.4248"),
    "C16:1": Decimal("254.4089"),
    "C18:0": Decimal("284.4780"),
    "C18:1": Decimal("282.4621"),
    "C18:1-OH": Decimal("298.4615"),
    "C18:2": Decimal("280.4462"),
    "C18:3": Decimal("278.4304"),
    "C20:0": Decimal("312.5312"),
    "C20:1": Decimal("310.5154"),
    "C22:0": Decimal("340.5845"),
    "C22:1": Decimal("338.5686"),
    "C24:0": Decimal("368.6377"),
}

# Iodine value per percent of acid bound in a triglyceride: AOCS Cd 1c-85 (reapproved 2009). Ricinoleic acid is not in
# that text; its factor is derived the same way, 3 x I2 / molar mass of triricinolein.
IODINE_FACTORS = {
    "C16:1": Decimal("0.950"),
    "C18:1": Decimal("0.860"),
    "C18:1-OH": Decimal("0.8157"),
    "C18:2": Decimal("1.732"),
    "C18:3": Decimal("2.616"),
    "C20:1": Decimal("0.785"),
    "C22:1": Decimal("0.723"),
}
# Double bonds of those acids, to derive the factor of a free acid.
DOUBLE_BONDS = {"C16:1": 1, "C18:1": 1, "C18:1-OH": 1, "C18:2": 2, "C18:3": 3, "C20:1": 1, "C22:1": 1}
