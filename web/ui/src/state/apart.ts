// Words on a picture, kept apart: each moves away from what it names until it lies on
// no other, the first ones first.

export interface Words { x: number; y: number; width: number; /** Which way it gives way. */ up: boolean }

/** The heights of the words, in the order in which they came. line is the height of one. */
export function apart(all: readonly Words[], line: number): number[] {
  const placed: { x: number; y: number; width: number }[] = [];
  for (const w of all) {
    let y = w.y;
    const onAnother = () => placed.some((p) => Math.abs(p.x - w.x) < (p.width + w.width) / 2 && Math.abs(p.y - y) < line);
    for (let n = 0; n <= 2 * placed.length && onAnother(); n++) y += w.up ? -line : line;
    placed.push({ x: w.x, y, width: w.width });
  }
  return placed.map((p) => p.y);
}
