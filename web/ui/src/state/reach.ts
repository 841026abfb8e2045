// How far the hand reaches on the picture, in stage pixels, and what a press is.

/** How near a press must be to take hold of something, in stage pixels; a finger reaches further. */
export const REACH = 9;
export const FINGER_REACH = 26;
/** The share of it that is left while something new is asked for: toe and heel stand nearer to each other than a hand reaches. */
export const REACH_ASKED = 0.5;
/** How far above a finger the point is that it moves, in stage pixels: the finger does not cover it. */
export const ABOVE_FINGER = 56;

/** The longer step of the arrow keys, in pixels of the picture. */
export const FAR_NUDGE = 1;
/** The steps of the cross, in stage pixels. */
export const STEP = 4;
export const FAR_STEP = 40;

export interface Press { x: number; y: number }
export interface PressKind { finger?: boolean; pan?: boolean }
