"""What of wood dust, and of the gas of its glue, the air may hold; laws differ, and change."""

DUST = {
    "OSHA, all of it": 15.0, "OSHA, what reaches the lungs": 5.0, "NIOSH": 1.0, "ACGIH": 1.0,
    "ACGIH, western red cedar": 0.5, "EU, with hardwood in it": 2.0,
}  # fmt: skip
"""Limits over eight hours [mg/m³]. US: OSHA's page on wood dust (seen); EU: Directive (EU) 2017/2398, as read
in a trade note. Dust of mixed woods counts as hardwood; that of MDF carries resin: treat it so too."""

FORMALDEHYDE = {
    "hardwood plywood": 0.05, "particleboard": 0.09, "MDF": 0.11, "thin MDF": 0.13,
}  # fmt: skip
"""What boards may give off [parts in a million]: TSCA Title VI, 40 CFR 770.10, the same as CARB phase 2;
read on a trade association's page (seen). It is not measured as the European class E1 is."""

THIN = 0.008
"""MDF up to this is thin. [m]"""
