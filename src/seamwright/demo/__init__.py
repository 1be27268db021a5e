"""A blouse for a whole theatre chorus, drafted here from an invented table of body sizes.

It is there to try Seamwright on: a tidy drawing in seven sizes, one size of it, and the same
style as somebody draws it by hand, with a sleeve cap that holds more ease than the cloth takes.
All data in this package is invented; the pieces fit nobody.
"""
