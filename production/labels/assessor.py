"""What no program may decide about a cosmetic bar (Regulation (EC) No 1223/2009, Annex I, from memory)."""

ASSESSOR_STILL_DOES = (
    "Judge the safety of the product and sign for it, with name, address and proof of qualification. No sale in Europe "
    "or Great Britain before that.",
    "Read the toxicological profile of every substance, and work out the exposure and its margins.",
    "Judge purity and traces of every material, from the suppliers' papers.",
    "Judge microbiological quality and whether a test is needed; soap of high pH seldom needs one, but that is theirs "
    "to say.",
    "Judge stability, durability or the period after opening, and the packaging.",
    "Judge variants: another color, scent or part is another product until they say otherwise.",
    "Say which warnings and directions the label needs.",
)
RESPONSIBLE_PERSON_STILL_DOES = (
    "Notify the product at the authority of each market before sale; this program notifies nothing.",
    "Keep the product information file ready, as a rule for ten years after the last batch (from memory; check it).",
    "Keep proof for every claim, and a description of how the bar is made under good manufacturing practice.",
    "Collect reports of bad reactions and pass on serious ones at once.",
    "Check the rules again: what is printed here stands on the day it was looked up.",
)
