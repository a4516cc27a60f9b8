"""What a part is made to bear against what it does: a resistor's or a driver's heat, a capacitor's volts."""

from typing import NamedTuple


class Strain(NamedTuple):
    """A part's burden over what it is rated for.

    rated [W, of a capacitor V]; tone and noise [-] : the worst single tone and pink noise over it.
    """

    rated: float
    tone: float
    noise: float

    @property
    def verdict(self):
        """ "holds", "holds music" where only a steady tone is too much, or "too small"."""
        if self.noise > 1:
            return "too small"
        return "holds" if self.tone <= 1 else "holds music"


def heat(burden, rated):
    """The `Strain` of what turns power into heat: `burden` is a `calc.network.load.Burden`, rated in W."""
    return Strain(rated, burden.sine_power / rated, burden.noise_power / rated)


def volts(burden, rated):
    """The `Strain` of a capacitor that is rated for so many volts of steady voltage.

    Of the worst tone its peak counts. Of noise the rms does, since its peaks behind a filter are not known.
    """
    return Strain(rated, burden.peak_voltage / rated, burden.noise_voltage / rated)
