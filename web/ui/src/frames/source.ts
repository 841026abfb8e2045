// Where exact frames come from. Two sources fulfil this: one decodes the file in
// the browser, one asks the server for pictures by frame number.

import type { Frame } from '../units';

export interface Picture {
  frame: Frame;
  /** Drawn with drawImage; valid until the source is told that it is no longer shown. */
  image: CanvasImageSource;
  width: number;
  height: number;
}

export interface FrameSource {
  readonly kind: 'browser' | 'server';
  /** The picture if it is at hand now; never waits. */
  ready(frame: Frame): Picture | undefined;
  /** The picture; rejects when the signal is aborted or it cannot be had. */
  get(frame: Frame, signal?: AbortSignal): Promise<Picture>;
  /** Says where the hand is and which way it goes (−1, 0, 1), so that what comes next is at hand. */
  head(frame: Frame, direction: number): void;
  close(): void;
}
