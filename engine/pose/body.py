"""The body that is drawn: lengths as shares of stature, in one plane.

Segments: de Leva (1996), table 4, the mean of the two sexes; the ankle's height is what is left
of the stature. Widths and the head's length: Drillis and Contini (1966) as in Winter (2009). Both
tables are of adults; no table of children with all of these lengths was found.
"""

UPPER_ARM = 0.1602
FOREARM = 0.1534
THIGH = 0.22745
SHANK = 0.25285
TRUNK = 0.29155  # hips to shoulders
ANKLE = 0.0293
SHOULDERS = ANKLE + SHANK + THIGH + TRUNK  # their height, standing
HEAD = 0.13 / 2  # radius
NECK = 1 - SHOULDERS - HEAD  # shoulders to the middle of the head
FOOT = 0.1399
HEEL = 0.25  # share of the foot that is behind the ankle
FORESHORTENED = 0.4  # a foot that points at the viewer; a matter of drawing

# Half the breadth of a limb and of the trunk as drawn. The floor's line lies half a limb below 0,
# so that what stands on it has its middle at 0.
LIMB = 0.03
BROAD = 0.042
HALF_SHOULDERS = 0.129 - LIMB  # seen from the front the limbs begin inside the breadths
HALF_HIPS = 0.191 / 2 - LIMB
