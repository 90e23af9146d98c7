"""Makes the papers' two faces from Lato 2.007: `python subset.py FOLDER_WITH_LATO`, with fontTools 4.

Kept: Latin, Greek and Cyrillic letters of languages written today, figures, the signs that texts need; kerning,
ligatures, marks. Left out: accents of older Greek, letters of phonetics and of older Cyrillic, all else, and the
instructions for coarse screens. Outlines and widths are Lato's. The licence reserves
the name "Lato" to the original, so that these are called otherwise.
"""

import sys

from fontTools import subset

LETTERS = (
    # Latin of Europe, Vietnam, West Africa, Azerbaijan; Pinyin; letters with dots below of transcriptions
    "U+0020-007E,U+00A0-017F,U+0181,U+018A,U+018F,U+0192,U+0198-0199,U+01A0-01A1,U+01AF-01B0,U+01B3-01B4,"
    "U+01CD-01DC,U+01E6-01E7,U+0218-021B,U+0253,U+0257,U+0259,U+02BB-02BD,U+02C6-02C7,U+02D8-02DD,"
    "U+1E0C-1E0D,U+1E24-1E25,U+1E36-1E37,U+1E42-1E47,U+1E5A-1E5B,U+1E62-1E63,U+1E6C-1E6D,U+1E80-1E85,U+1E92-1E93,"
    "U+1E9E,U+1EA0-1EF9,U+FB00-FB04,"
    # marks that letters are put together with; Greek of today; Cyrillic of today, of Central Asia too
    "U+0300-0304,U+0306-030C,U+0323,U+0326-0328,U+0370-03FF,U+0400-045F,U+0490-04FF,"
    # spaces, signs, figures, currencies
    "U+2000-200F,U+2010-2015,U+2018-2022,U+2026,U+202F,U+2030,U+2032-2034,U+2039-203A,U+2044,U+2070-208E,"
    "U+20A6,U+20A9-20AC,U+20B4,U+20B8-20BA,U+2116,U+2122,U+2126,U+2150-215E,U+2190-2195,U+2202,U+2206,U+220F,"
    "U+2211-2212,U+2215,U+2219-221A,U+221E,U+2229,U+222B,U+2248,U+2260-2261,U+2264-2265,U+2460-2473,U+25A1,"
    "U+25AA-25AB,U+25CA-25CB,U+25CF,U+25E6"
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
