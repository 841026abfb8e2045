// Where exact frames come from. Two sources fulfil this: one decodes the file in
// the browser, one asks the server for pictures by frame number.

import type { Frame } from '../units';

export interface Picture {
  frame: Frame;
  /** Drawn with drawImage; valid while it is shown, and until the source is closed. */
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
  /** Says which picture stands on the stage: it stays valid until another one does. */
  shown(picture: Picture): void;
  /** Another video is on the stage: most of what is at hand is given back. */
  rest(): void;
  close(): void;
}
