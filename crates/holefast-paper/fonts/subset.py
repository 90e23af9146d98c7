"""Makes the papers' two faces from Lato 2.007: `python subset.py FOLDER_WITH_LATO`, with fontTools 4.

Kept: Latin, Greek and Cyrillic letters, figures, the signs that texts need; kerning, ligatures, marks. Left
out: all else, and the instructions for coarse screens. Outlines and widths are Lato's. The licence reserves
the name "Lato" to the original, so that these are called otherwise.
"""

import sys

from fontTools import subset

LETTERS = (
    "U+0020-007E,U+00A0-017F,U+0192,U+01A0-01A1,U+01AF-01B0,U+0218-021B,U+0259,U+02BC,U+02C6-02C7,U+02D8-02DD,"
    "U+0300-0304,U+0306-030C,U+0323,U+0326-0328,U+0370-03FF,U+0400-045F,U+0490-0491,U+1E80-1E85,U+1E9E,"
    "U+1EA0-1EF9,U+2010-2015,U+2018-2022,U+2026,U+2030,U+2032-2033,U+2039-203A,U+2044,U+2070-208E,U+20AC,U+2116,"
    "U+2122,U+2126,U+2150-215E,U+2190-2195,U+2202,U+2206,U+220F,U+2211-2212,U+2215,U+2219-221A,U+221E,U+222B,"
    "U+2248,U+2260,U+2264-2265,U+25A1,U+25CA,U+FB00-FB04"
)
FAMILY = "Holefast Sans"

for style in ("Regular", "Bold"):
    options = subset.Options()
    options.hinting = False
    options.layout_features = ["kern", "liga", "locl", "ccmp", "mark", "mkmk"]
    options.name_IDs = ["*"]
    options.notdef_outline = True
    options.recalc_timestamp = False
    options.glyph_names = False
    options.legacy_kern = False
    options.drop_tables += ["DSIG", "FFTM"]
    font = subset.load_font(f"{sys.argv[1]}/Lato-{style}.ttf", options)
    subsetter = subset.Subsetter(options)
    subsetter.populate(unicodes=subset.parse_unicodes(LETTERS))
    subsetter.subset(font)
    names = {
        1: FAMILY,
        3: f"{FAMILY} {style}; outlines of 2.007",
        4: f"{FAMILY} {style}",
        6: f"{FAMILY.replace(' ', '')}-{style}",
        16: FAMILY,
    }
    # copyright, style, version and licence stay as they are
    kept = {0, 2, 5, 13, 14, 17}
    for record in list(font["name"].names):
        place = (record.nameID, record.platformID, record.platEncID, record.langID)
        if record.nameID in names:
            font["name"].setName(names[record.nameID], *place)
        elif record.nameID not in kept:
            font["name"].removeNames(*place)
    font.save(f"{FAMILY.replace(' ', '')}-{style}.ttf")
