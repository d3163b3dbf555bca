"""Laws of light and lens: pure functions on numbers and arrays, with units, limits and references.

Lengths without a unit in their name may be in any unit as long as all of one call are in the
same; the result is in that unit too. Everything else carries its unit as the last word.
"""
