"""Fasteners chosen by grip: blind rivets, bolts and pins. One module a family, and what they share."""
