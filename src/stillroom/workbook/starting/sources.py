"""Short names of the publications, so that a source fits beside its figure, and what each stands for."""

from __future__ import annotations

PUBLICATIONS = (
    ("AIB 539", "USDA Complete Guide to Home Canning, Agriculture Information Bulletin 539; the year says which print"),
    (
        "MSU",
        "Michigan State University Extension: Preserving Food Safely (1997), Michigan Fresh sheets (HNI) and others",
    ),
    ("NCHFP", "National Center for Home Food Preservation"),
    ("USDA SR", "USDA National Nutrient Database for Standard Reference"),
    ("HG 10", "USDA Home and Garden Bulletin 10"),
    ("AH 66", "USDA Agriculture Handbook 66 (1954), as tabulated in vegetable and fruit guides"),
    ("UGA, UF/IFAS, K-State, Purdue", "extension services of Georgia, Florida, Kansas and Indiana"),
)
"""What the short names in Note and Source stand for."""

_SHORTER = (
    ("USDA Complete Guide to Home Canning, ", ""),
    ("USDA AIB 539", "AIB 539"),
    ("(rev. 1994)", "(1994)"),
    ("(2009/2015 wording)", "(2009/2015)"),
    ("Michigan State Univ. Extension, Preserving Food Safely (10/1997)", "MSU (1997)"),
    ("MSU Extension, Preserving Food Safely database no. ", "MSU "),
    ("MSU Extension, Michigan Fresh ", "MSU "),
    ("MSU Extension Home Horticulture ", "MSU "),
    ("MSU Extension", "MSU"),
    ("; months: National Center for Home Food Preservation, freezer shelf life", "; months: NCHFP"),
    ("National Center for Home Food Preservation", "NCHFP"),
    ("USDA National Nutrient Database for Standard Reference", "USDA SR"),
    ("USDA Home and Garden Bulletin 10", "HG 10"),
    ("USDA Agriculture Handbook 66 (1954) as tabulated in a Florida vegetable guide", "AH 66"),
    ("Table L3.3 commercial storage of fresh fruits (AH 66 values)", "AH 66"),
    ("New England Vegetable Guide Table 16 (adapted from USDA AH 66)", "AH 66, New England guide"),
    (
        "Extension sheet Preserving Tomatoes and Tomato Products (Let's Preserve series)",
        "extension sheet Let's Preserve",
    ),
    (", Packaging and Storing Dried Foods, at 80 F", ", at 80 F"),
)


def short(source: str) -> str:
    """
    The source with its publications shortened.

    >>> short("USDA Complete Guide to Home Canning, AIB 539 (rev. 1994), Guide 3")
    'AIB 539 (1994), Guide 3'
    """
    for long_name, short_name in _SHORTER:
        source = source.replace(long_name, short_name)
    return source
