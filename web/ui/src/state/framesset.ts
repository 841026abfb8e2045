// Which frames carry something set by hand, and how much: for going round them.

import type { Touch } from '../api/client';
import { frameNo, type Frame } from '../units';

export interface FrameSet { take: string; frame: Frame; points: number; marks: number }

/** One line a frame, in the order of the takes and of the frames in each. */
export function framesSet(touch: Pick<Touch, 'takes' | 'placings' | 'marks'>): FrameSet[] {
  const all = new Map<string, FrameSet>();
  const of = (take: string, frame: number) => {
    const key = `${take} ${frame}`;
    const line = all.get(key) ?? { take, frame: frameNo(frame), points: 0, marks: 0 };
    all.set(key, line);
    return line;
  };
  for (const p of touch.placings) of(p.take, p.frame).points += p.points.length + (p.lines?.length ?? 0);
  for (const m of touch.marks) of(m.take, m.frame).marks++;
  const order = new Map(touch.takes.map((t, i) => [t.id, i]));
  return [...all.values()].sort((a, b) => (order.get(a.take) ?? 0) - (order.get(b.take) ?? 0) || a.frame - b.frame);
}
