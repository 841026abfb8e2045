// Package plate makes finished pictures of measured frames: the gaps on the frame
// (Gaps), what each point can reach (Frame), a movement laid over one frame (Ghosts)
// and the placing of the piste (Placing). Overlay lays the same layers over a frame
// part by part, for a film. It also holds what all
// pictures of Mesure share: the printed form of a number with its doubt
// (Metres, Percent, Milliseconds …), the type scale and the sheet with its
// finding above and its source line below (Sheet), and the mark of each fencer.
//
// Most callers need one call: Gaps or Frame.
//
// Marks come in pixels of the frame, as package mark says; the sheet is in
// millimetres. Nothing is measured here: every number is one of the reading.
// A reading and a picture handed in are never changed, and the picture keeps its
// colours. ± is one standard deviation, bands and hatches cover 95 %.
package plate
