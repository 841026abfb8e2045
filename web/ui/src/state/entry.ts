// Numbers as people type them: with a comma or a point; nothing else is guessed.

/** The number, or undefined where what was typed is none within the bounds. */
export function typed(text: string, least: number, most: number): number | undefined {
  const t = text.trim().replace(',', '.').replace('−', '-');
  if (!/^-?\d+(\.\d*)?$|^-?\.\d+$/.test(t)) return undefined;
  const n = Number(t);
  return n >= least && n <= most ? n : undefined;
}
