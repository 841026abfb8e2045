import { describe, expect, it } from 'vitest';
import { Preview, type FilmTold } from './preview.svelte';

const film = (key = 'k', second = 'B'): FilmTold => ({
  key, width: 1280, height: 720, rate: 30, frames: 100,
  shots: [{ shot: 'a', key: 'A', first: 0, frames: 40, picture: '/A' }, { shot: 'b', key: second, first: 40, frames: 60, picture: `/${second}` }],
  cues: [{ from_s: 0.5, to_s: 1.5, text: 'One' }, { from_s: 1.5, to_s: 3, text: 'Two' }],
});
/** A loader whose pictures come when they are let. */
function loader() {
  const asked: string[] = [];
  const freed: string[] = [];
  const waiting = new Map<string, { done: (p: string) => void; fail: (e: Error) => void }>();
  return {
    asked, freed, waiting,
    load: (a: string) => new Promise<string>((done, fail) => { asked.push(a); waiting.set(a, { done, fail }); }),
    free: (p: string) => { freed.push(p); },
    async let(a?: string) {
      for (const [name, w] of [...waiting]) if (!a || a === name) { waiting.delete(name); w.done(name); }
      await new Promise((r) => setTimeout(r));
    },
    async all() { for (let n = 0; n < 100 && waiting.size > 0; n++) await this.let(); },
  };
}

describe('a preview', () => {
  it('shows the frame under the hand and no other in its place', async () => {
    const l = loader();
    const p = new Preview<string>(l, 480);
    p.lay(film());
    expect(l.asked[0]).toBe('/A/0.jpg?width=480');
    expect(p.waiting).toBe(true);
    await l.all();
    expect([p.picture, p.shown, p.waiting]).toEqual(['/A/0.jpg?width=480', 0, false]);
    p.seek(70);
    expect([p.at, p.shown, p.waiting]).toEqual([70, 0, true]);
    await l.let('/A/3.jpg?width=480'); // one that is not wanted now
    expect(p.shown).toBe(0);
    await l.all();
    expect([p.picture, p.shown]).toEqual(['/B/30.jpg?width=480', 70]);
  });
  it('steps ten times a second, and a cut is shown where it is', () => {
    const p = new Preview<string>(loader());
    p.lay(film());
    expect(p.step).toBe(3);
    p.seek(38); expect(p.at).toBe(36);
    p.seek(39); expect(p.at).toBe(39);
    p.by(1); expect([p.at, p.shot]).toEqual([40, 'b']);
    p.to('b'); expect(p.at).toBe(40);
    p.seek(-4); expect([p.at, p.shot]).toEqual([0, 'a']);
    p.seek(999); expect(p.at).toBe(97);
  });
  it('asks for few at once, and for more ahead while it plays', async () => {
    const l = loader();
    const p = new Preview<string>(l);
    p.lay(film());
    expect(l.waiting.size).toBe(3);
    await l.all();
    expect(l.asked.length).toBe(3);
    p.toggle();
    await l.all();
    expect(l.asked.length).toBe(15);
  });
  it('plays on with time, waits for what has not come, and stops at the end', async () => {
    const l = loader();
    const p = new Preview<string>(l);
    p.lay(film());
    p.toggle();
    p.tick(1);
    expect(p.at).toBe(0); // its first picture is not there
    await l.all();
    p.tick(0.11);
    expect(p.at).toBe(3);
    for (let n = 0; n < 60; n++) { await l.all(); p.tick(0.1); }
    expect([p.playing, p.at]).toEqual([false, 97]);
    p.toggle(); // from the beginning again
    expect([p.playing, p.at]).toEqual([true, 0]);
  });
  it('says the line of its time', () => {
    const p = new Preview<string>(loader());
    p.lay(film());
    expect([0, 15, 46, 97].map((f) => { p.seek(f); return p.caption; })).toEqual(['', 'One', 'Two', '']);
  });
  it('keeps the pictures of shots that stay as they are when the film changes', async () => {
    const l = loader();
    const p = new Preview<string>(l);
    p.lay(film());
    await l.all();
    p.seek(40);
    await l.all();
    const before = l.asked.length;
    p.lay(film('other', 'C'));
    await l.all();
    expect(l.asked.slice(before).every((a) => a.startsWith('/C/'))).toBe(true);
    p.seek(0);
    await l.all();
    expect(l.asked.slice(before).some((a) => a.startsWith('/A/0'))).toBe(false);
  });
  it('says why a picture does not come, once', async () => {
    const l = loader();
    const p = new Preview<string>(l);
    p.lay(film());
    p.toggle();
    l.waiting.get('/A/0.jpg?width=480')!.fail(new Error('the video is gone'));
    await new Promise((r) => setTimeout(r));
    expect([p.trouble, p.playing]).toEqual(['the video is gone', false]);
    expect(l.asked.filter((a) => a.startsWith('/A/0')).length).toBe(1);
  });
  it('frees what it kept', async () => {
    const l = loader();
    const p = new Preview<string>(l);
    p.lay(film());
    await l.all();
    p.end();
    expect(l.freed.length).toBe(3);
  });
});
