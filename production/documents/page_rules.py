"""Paper sizes a workshop prints on."""

from soapshop.paper import PaperRefused

# ISO 216 and ANSI Y14.1, in millimeters
PAGE_RULES = {
    "letter": "@page { size: 215.9mm 279.4mm }",
    "a4": "@page { size: 210mm 297mm }",
}


def page_rule(paper_size: str) -> str:
    if paper_size not in PAGE_RULES:
        raise PaperRefused(f"“{paper_size[:20]}” is not a paper size. Choose letter or a4 in the settings.")
    return PAGE_RULES[paper_size]
