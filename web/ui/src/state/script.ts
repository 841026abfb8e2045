// The script of a telling, changed by hand. Everything here is plain: a script in, a new
// script out, and the same script where nothing changed, so that no empty step is kept.
// Words are the coach's, numbers are the measurement's: a number moves or goes as a
// whole, and its text is never typed.

import type { Schemas } from '../api/client';

export type Script = Schemas['Script'];
export type Line = Schemas['ScriptLine'];
export type Piece = Schemas['ScriptPiece'];
export type Part = Schemas['ScriptPart'];
export type Stale = Schemas['ScriptStale'];
export type Drafted = Schemas['DraftedLine'];

/** The name of a line in a storyboard. */
export const lineName = (part: string, key: string) => `${part} ${key}`;
/** Parts in the order in which they are told. */
export const PARTS = ['opening', 'technique', 'tactics', 'timing', 'take-away'] as const;
/** Lines that the coach added have names that begin so. */
export const OWN = 'own-';
export const isOwn = (line: Line) => line.key.startsWith(OWN);

export const textOf = (line: Line) => line.pieces.map((p) => p.text).join('');

/** What keeps a caret beside a number on the page; it is no word. */
export const CARET = '\u200b';

/** Pieces as they come from a page: neighbours joined, ends without blanks, nothing empty. */
export function tidy(pieces: readonly Piece[]): Piece[] {
  const out: Piece[] = [];
  for (const p of pieces) {
    if (p.ref) { out.push(p); continue; }
    const text = p.text.replaceAll(CARET, '').replace(/[ \t\r\n]+/g, ' ');
    const before = out.at(-1);
    if (!text) continue;
    if (before && !before.ref) out[out.length - 1] = { text: (before.text + text).replace(/ {2,}/g, ' ') };
    else out.push({ text });
  }
  const trim = (i: number, f: (s: string) => string) => {
    const p = out.at(i);
    if (!p || p.ref) return;
    const text = f(p.text);
    if (text) out[i < 0 ? out.length + i : i] = { ...p, text };
    else out.splice(i, 1);
  };
  trim(0, (s) => s.replace(/^ +/, ''));
  trim(-1, (s) => s.replace(/ +$/, ''));
  return out;
}

function same(a: readonly Piece[], b: readonly Piece[]): boolean {
  return a.length === b.length && a.every((p, i) => p.text === b[i]!.text && (p.ref ?? '') === (b[i]!.ref ?? '') && !!p.frozen === !!b[i]!.frozen);
}

/** A script with another line at a place; the same script where the line is the same. */
export function withLine(s: Script, part: number, line: number, f: (l: Line) => Line): Script {
  const old = s.parts[part]?.lines[line];
  if (!old) return s;
  const now = f(old);
  if (now === old) return s;
  return withLines(s, part, (all) => all.map((l, i) => (i === line ? now : l)));
}

/** A part without lines is left out, as in a draft. */
function withLines(s: Script, part: number, f: (lines: Line[]) => Line[]): Script {
  const parts = s.parts.map((p, i) => (i === part ? { ...p, lines: f(p.lines) } : p)).filter((p) => p.lines.length > 0);
  return { ...s, parts };
}

/** The coach's words for a line. A line of no words is left out. */
export function reworded(s: Script, part: number, line: number, pieces: readonly Piece[]): Script {
  const now = tidy(pieces);
  const old = s.parts[part]?.lines[line];
  if (!old || same(now, tidy(old.pieces))) return s;
  if (now.length === 0) return leftOut(s, part, line);
  return withLine(s, part, line, (l) => ({ ...l, pieces: now, edited: true }));
}

/** Keeps the numbers of a line as they are printed, or lets them live again. */
export function frozen(s: Script, part: number, line: number, on: boolean): Script {
  return withLine(s, part, line, (l) => (l.pieces.some((p) => p.ref && !!p.frozen !== on)
    ? { ...l, edited: true, pieces: l.pieces.map((p) => (p.ref ? piece(p, p.text, on) : p)) } : l));
}
export const isFrozen = (l: Line) => l.pieces.some((p) => p.frozen);
export const hasNumbers = (l: Line) => l.pieces.some((p) => p.ref);

const piece = (p: Piece, text: string, on: boolean): Piece => ({ text, ...(p.ref ? { ref: p.ref } : {}), ...(on ? { frozen: true } : {}) });

/** Takes the number of today in place of one that grew stale; it lives again. */
export function renewed(s: Script, at: Stale): Script {
  return withLine(s, at.part, at.line, (l) => ({ ...l, pieces: l.pieces.map((p, i) => (i === at.piece && at.now ? piece(p, at.now, false) : p)) }));
}
/** A number that the measurement no longer has becomes plain words. */
export function letGo(s: Script, at: Stale): Script {
  return withLine(s, at.part, at.line, (l) => ({ ...l, edited: true, pieces: tidy(l.pieces.map((p, i) => (i === at.piece ? { text: p.text } : p))) }));
}

/** Leaves a line out. */
export function leftOut(s: Script, part: number, line: number): Script { return withLines(s, part, (all) => all.filter((_, i) => i !== line)); }

/** Puts a drafted line in: in the place of the one with its name, else where the draft has it. */
export function drawnBack(s: Script, d: Drafted): Script {
  const { parts, at } = withPart(s, d.part);
  const lines = parts[at]!.lines;
  const here = lines.findIndex((l) => l.key === d.line.key);
  const order = (l: Line) => s.offered.indexOf(lineName(d.part, l.key));
  const mine = order(d.line);
  let to = here;
  if (here < 0) {
    to = 0;
    lines.forEach((l, i) => { if (isOwn(l) ? to === i : order(l) < mine) to = i + 1; });
  }
  const next = [...lines.slice(0, to), d.line, ...lines.slice(here < 0 ? to : to + 1)];
  return { ...s, parts: parts.map((p, i) => (i === at ? { ...p, lines: next } : p)) };
}

/** Adds a line of the coach's own at the end of a part. */
export function ownAdded(s: Script, part: string, words: string, key: string): Script {
  const pieces = tidy([{ text: words }]);
  if (pieces.length === 0) return s;
  const { parts, at } = withPart(s, part);
  return { ...s, parts: parts.map((p, i) => (i === at ? { ...p, lines: [...p.lines, { key, claim: '', pieces, edited: true }] } : p)) };
}

/** The parts with one of this kind among them, in its place. */
function withPart(s: Script, kind: string): { parts: Part[]; at: number } {
  const there = s.parts.findIndex((p) => p.kind === kind);
  if (there >= 0) return { parts: s.parts, at: there };
  const rank = (k: string) => (PARTS as readonly string[]).indexOf(k);
  let at = 0;
  while (at < s.parts.length && rank(s.parts[at]!.kind) < rank(kind)) at++;
  return { parts: [...s.parts.slice(0, at), { kind, lines: [] }, ...s.parts.slice(at)], at };
}

/** A name for a line of one's own that the script does not have yet. */
export function freshOwn(s: Script): string {
  const all = new Set(s.parts.flatMap((p) => p.lines.map((l) => l.key)));
  for (let n = 1; ; n++) if (!all.has(OWN + n)) return OWN + n;
}

/** Moves a line within its part. */
export function lineMoved(s: Script, part: number, line: number, by: 1 | -1): Script {
  const lines = s.parts[part]?.lines;
  const to = line + by;
  if (!lines || !lines[line] || !lines[to]) return s;
  return withLines(s, part, (all) => { const next = [...all]; [next[line], next[to]] = [next[to]!, next[line]!]; return next; });
}
