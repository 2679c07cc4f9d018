/**
 * The body that is drawn, as shares of stature: de Leva (1996), table 4, the mean of the sexes;
 * widths and the head's length: Drillis and Contini (1966) as in Winter (2009). The same as
 * `engine/pose/body.py`.
 */
export const UPPER_ARM = 0.1602
export const FOREARM = 0.1534
export const THIGH = 0.22745
export const SHANK = 0.25285
export const TRUNK = 0.29155
export const ANKLE = 0.0293
export const HEAD = 0.13 / 2
/** From the shoulders to the middle of the head. */
export const NECK = 1 - (ANKLE + SHANK + THIGH + TRUNK) - HEAD
export const FOOT = 0.1399
/** The share of the foot that is behind the ankle. */
export const HEEL = 0.25
/** A foot that points at the viewer. */
export const FORESHORTENED = 0.4
/** Half the breadth of a limb and of the trunk as drawn; the floor lies half a limb below 0. */
export const LIMB = 0.03
export const BROAD = 0.042
/** Seen from the front the limbs begin inside the published breadths. */
export const HALF_SHOULDERS = 0.129 - LIMB
export const HALF_HIPS = 0.191 / 2 - LIMB
