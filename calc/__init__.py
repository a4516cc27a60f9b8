"""The physics and the shop arithmetic of a loudspeaker: pure functions in SI units.

No file, no network, no web. Start reading at `calc.evaluate`.
"""
