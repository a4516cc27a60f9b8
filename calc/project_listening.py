"""What is wanted at the seat: how loud, how much louder the loudest moments, how far away, for how long."""

from dataclasses import dataclass

from calc.errors import require_within


@dataclass(frozen=True)
class Listening:
    """The seat and what is to be heard there.

    `level` [dB, A-weighted] is the mean, `headroom` [dB] how far loud moments rise above it, `distance` [m]
    from each speaker, `gain` [dB] what the room adds, or with the `room` [m³] and its `reverberation` [s]
    known, what is more besides; less what the bass loses round a narrow box. `hours` a day. The values are
    ordinary ones at home (common practice, no source).
    """

    level: float = 75.0
    headroom: float = 15.0
    distance: float = 2.5
    gain: float = 0.0
    hours: float = 2.0
    room: float | None = None
    reverberation: float | None = None

    def __post_init__(self):
        require_within(30, 120, "must be a level at a seat, 30 to 120 dB", level=self.level)
        require_within(0, 30, "must be from 0 to 30 dB", headroom=self.headroom)
        require_within(0.3, 50, "must be how far the seat is, 0.3 to 50 m", distance=self.distance)
        require_within(-10, 20, "must be from −10 to 20 dB", gain=self.gain)
        require_within(0, 24, "must be hours of a day", hours=self.hours)
        require_within(5, 1e5, "must be the air of a room, 5 m³ to that of a hall", room=self.room)
        require_within(
            0.05, 15, "must be how long a clap is heard, 0.05 to 15 s", reverberation=self.reverberation
        )
