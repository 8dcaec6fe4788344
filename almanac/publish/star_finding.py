"""How to find each star from a pattern that everyone knows, and the colour it shows.

Sentences are drawn from the stars' own places and name only patterns of the charts. The words of
colour follow the colour index B-V at the borders of the spectral classes of ordinary dwarf stars
(M. P. FitzGerald, Astron. Astrophys. 4 (1970) 234, rounded, from memory); which word goes with
which class is common practice, no source.
"""

from almanac.publish.terms import N_

COLOURS = (
    (-0.02, N_("bluish white")),
    (0.3, N_("white")),
    (0.58, N_("yellowish white")),
    (0.81, N_("yellow")),
    (1.4, N_("orange")),
)
"""Largest B-V of each word."""
REDDEST = N_("reddish orange")

FINDING = {
    "Acamar": N_("Between Achernar and the Whale, alone in a dull part of the sky."),
    "Achernar": N_("From Fomalhaut go south past the Firebird: the next very bright star."),
    "Acrux": N_("The foot of the Southern Cross, its brightest star."),
    "Adhara": N_("At the hind feet of the Great Dog, below Sirius: the brightest star there."),
    "Al Na'ir": N_("The brightest star of the Crane, south of Fomalhaut."),
    "Aldebaran": N_(
        "Follow the Hunter's Belt up and away from Sirius: the orange eye of the Bull."
    ),
    "Alhena": N_("At the feet of the Twins, on the way to Betelgeuse."),
    "Alioth": N_("In the Plough's handle, the star next to the bowl."),
    "Alkaid": N_("The end of the Plough's handle."),
    "Alnilam": N_("The middle of the Hunter's Belt."),
    "Alnitak": N_("The end of the Hunter's Belt that points to Sirius."),
    "Alphard": N_("Alone below the Lion's Sickle, where nothing else is bright."),
    "Alphecca": N_("The bright stone of the Half Circle, beside the Kite."),
    "Alpheratz": N_("The corner of the Great Square from which the chain of stars leads away."),
    "Altair": N_("The southern corner of the Summer Triangle, a fainter star on either side."),
    "Ankaa": N_("The brightest of the Firebird, between Fomalhaut and Achernar."),
    "Antares": N_("The reddish heart of the Scorpion, a fainter star on either side."),
    "Arcturus": N_("Follow the arc of the Plough's handle: the first very bright star, orange."),
    "Atria": N_("The brightest of the Southern Triangle, farthest from the Pointers to the Cross."),
    "Avior": N_("A corner of the False Cross, the one nearest to Canopus."),
    "Bellatrix": N_("The other shoulder of the Hunter, beside Betelgeuse."),
    "Betelgeuse": N_("The reddish shoulder of the Hunter, north of the Belt."),
    "Canopus": N_("Far south of Sirius: the second brightest star of all."),
    "Capella": N_("North of the Hunter and the Bull: the brightest of the Charioteer."),
    "Castor": N_("The northern head of the Twins, a little fainter than Pollux beside it."),
    "Deneb": N_("The head of the Great Cross, a corner of the Summer Triangle."),
    "Denebola": N_("The end of the Lion's Back, away from the Sickle."),
    "Diphda": N_("The tail of the Whale: down the eastern side of the Great Square and on."),
    "Dubhe": N_("The lip of the Plough's bowl, the Pointer next to the pole."),
    "Elnath": N_("Where the Charioteer and the Bull meet: the tip of the northern horn."),
    "Eltanin": N_("The brightest of the Dragon's Head, near Vega."),
    "Enif": N_("The end of the Horse's Neck, away from the Great Square."),
    "Fomalhaut": N_("Down the western side of the Great Square and on: alone in the south."),
    "Gacrux": N_("The head of the Southern Cross, reddish."),
    "Gienah": N_("A corner of the Raven, the one farthest from Spica."),
    "Hadar": N_("Of the two Pointers to the Cross the one nearer to it."),
    "Hamal": N_("The brightest of the Ram, below the chain that leads from the Great Square."),
    "Kaus Australis": N_("The bottom of the Teapot, its brightest star."),
    "Kochab": N_("The outer end of the Little Plough, as bright as the pole star."),
    "Markab": N_("The corner of the Great Square where the Horse's Neck begins."),
    "Menkalinan": N_("In the Charioteer beside Capella, towards the Twins."),
    "Menkar": N_("The head of the Whale, below the Ram."),
    "Menkent": N_("The northern shoulder of the Centaur, below Spica."),
    "Miaplacidus": N_("South of the False Cross, towards the pole of the south."),
    "Mimosa": N_("An arm of the Southern Cross, the one next to the Pointers."),
    "Mirfak": N_("The brightest of the Hero, between the W and Capella."),
    "Mirzam": N_("Just ahead of Sirius: it rises a little before it."),
    "Nunki": N_("In the handle of the Teapot, its brightest star."),
    "Peacock": N_("Alone between the Southern Triangle and the Crane."),
    "Polaris": N_("Follow the Pointers to the pole, from the Plough's bowl: it hardly moves."),
    "Pollux": N_("The southern and brighter head of the Twins."),
    "Procyon": N_("East of the Hunter: a corner of the Winter Triangle, with Sirius below."),
    "Rasalhague": N_("The head of the Serpent Bearer, between Vega and Antares."),
    "Regulus": N_("The foot of the Lion's Sickle."),
    "Rigel": N_("The bright foot of the Hunter, across the Belt from Betelgeuse."),
    "Rigil Kentaurus": N_("The brighter of the two Pointers to the Cross, farther from it."),
    "Sabik": N_("At the southern end of the Serpent Bearer, above the Scorpion."),
    "Schedar": N_("The brightest star of the W, at the point of its deeper half."),
    "Shaula": N_("The sting of the Scorpion."),
    "Sirius": N_("Follow the Hunter's Belt down and away from the Bull: the brightest of all."),
    "Spica": N_("Along the arc from the Plough's handle to Arcturus, and on as far again."),
    "Suhail": N_("At the northern end of the Sails, above the False Cross."),
    "Vega": N_("The brightest corner of the Summer Triangle, beside the small Lyre."),
    "Wezen": N_("In the Great Dog, between Sirius and its tail."),
    "Zubenelgenubi": N_("The first bright star of the Scales, half way from Spica to Antares."),
}
"""By name of the star."""


def finding(star: str) -> str:
    """How to find a star, in English; empty for one that no pattern leads to."""
    return FINDING.get(star, "")


def colour(colour_bv: float) -> str:
    """The English word for a star's colour by its B-V."""
    return next((word for most, word in COLOURS if colour_bv < most), REDDEST)
