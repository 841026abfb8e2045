// Units and frames as types: a pixel of the picture is not one of the screen, a
// frame number is not a second. Mixing them does not compile.

declare const unit: unique symbol;
type Unit<Name extends string> = number & { readonly [unit]: Name };

/** A coordinate in the picture: the centre of the top-left pixel is 0. */
export type PicturePx = Unit<'picture px'>;
/** A coordinate on the stage, in CSS pixels from its top-left corner. */
export type StagePx = Unit<'stage px'>;
/** The number of a frame in its video, in order of presentation, from 0. */
export type Frame = Unit<'frame'>;
/** A time stamp in a video file, in seconds. */
export type FileSeconds = Unit<'file s'>;
/** An instant on the clock of the bout, in seconds. */
export type TrueSeconds = Unit<'true s'>;

export interface PicturePoint { u: PicturePx; v: PicturePx }
export interface StagePoint { x: StagePx; y: StagePx }

export const picturePx = (n: number) => n as PicturePx;
export const stagePx = (n: number) => n as StagePx;
export const frameNo = (n: number) => n as Frame;
export const fileSeconds = (n: number) => n as FileSeconds;
export const trueSeconds = (n: number) => n as TrueSeconds;
