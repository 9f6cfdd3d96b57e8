"""Answers as text for a bench: the part number first, then what the hands need, 80 columns, inch and millimetre.

Figures that were not read in their document carry a letter: s second-hand, d derived, m from memory, e estimated.
Colour is the caller's to ask for; the words are the same without it.
"""
