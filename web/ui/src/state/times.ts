// Frames and the time stamps of their file.

import { frameNo, type Frame } from '../units';

/** The frame whose time stamp is nearest to this instant of the file; 0 where there are none. */
export function frameNearest(times: readonly number[], seconds: number): Frame {
  let low = 0;
  let high = times.length;
  while (low < high) {
    const mid = (low + high) >> 1;
    if ((times[mid] ?? Infinity) < seconds) low = mid + 1;
    else high = mid;
  }
  const at = Math.min(low, Math.max(0, times.length - 1));
  const before = times[at - 1];
  const here = times[at];
  return frameNo(before !== undefined && here !== undefined && Math.abs(seconds - before) < Math.abs(here - seconds) ? at - 1 : at);
}
