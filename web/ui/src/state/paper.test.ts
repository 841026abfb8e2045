import { describe, expect, it } from 'vitest';
import type { Stamp } from '../api/client';
import { Conflict, Paper, Rejected, type Store, type Stored } from './paper.svelte';

type Doc = { text: string };

/** A store as the server is one: revisions, a history, refusals; what it answers can be held back. */
class Shelf implements Store<Doc> {
  states: { gesture: string; value: Doc }[] = [{ gesture: 'begin', value: { text: '' } }];
  at = 0;
  rev = [1];
  calls: string[] = [];
  fail: unknown[] = []; // thrown by the next saves, in order; null lets one through
  hold: Promise<void> | null = null;

  stored(): Stored<Doc> {
    const stamp = { id: 'x', revision: this.rev[this.at]!, gesture: this.states[this.at]!.gesture, saved: '', can_undo: this.at > 0, can_redo: this.at + 1 < this.states.length } as unknown as Stamp;
    return { stamp, value: this.states[this.at]!.value };
  }
  async load() { return this.stored(); }
  async save(base: number, gesture: string, value: Doc) {
    await this.hold;
    const f = this.fail.shift();
    if (f) throw f;
    if (base !== this.rev[this.at]) throw new Conflict('changed elsewhere');
    this.calls.push(gesture);
    this.put(gesture, value);
    return this.stored();
  }
  put(gesture: string, value: Doc) {
    this.states = [...this.states.slice(0, this.at + 1), { gesture, value }];
    this.rev = [...this.rev.slice(0, this.at + 1), Math.max(...this.rev) + 1];
    this.at++;
  }
  async undo(base: number) { return this.#move(base, -1); }
  async redo(base: number) { return this.#move(base, 1); }
  #move(base: number, by: number) {
    if (base !== this.rev[this.at]) throw new Conflict('changed elsewhere');
    this.at += by;
    return this.stored();
  }
}

function paper() {
  const shelf = new Shelf();
  const waits: number[] = [];
  const p = new Paper<Doc>(shelf, shelf.stored(), async (ms) => { waits.push(ms); });
  const add = (c: string) => p.change((d) => ({ text: d.text + c }));
  return { shelf, p, add, waits };
}

describe('a gesture', () => {
  it('is one step, whatever changes in between', async () => {
    const { shelf, p, add } = paper();
    p.begin('drag');
    for (const c of 'abcdef') add(c);
    p.end();
    await p.settled();
    expect(shelf.calls).toEqual(['drag']);
    expect(shelf.stored().value.text).toBe('abcdef');
    await p.undo();
    expect(p.value.text).toBe('');
    await p.redo();
    expect(p.value.text).toBe('abcdef');
  });
  it('that changes nothing leaves no step', async () => {
    const { shelf, p } = paper();
    p.begin('touch');
    p.end();
    await p.settled();
    expect(shelf.calls).toEqual([]);
  });
  it('that is given up leaves the document as it was', async () => {
    const { shelf, p, add } = paper();
    p.begin('drag');
    add('x');
    p.cancel();
    await p.settled();
    expect(p.value.text).toBe('');
    expect(shelf.calls).toEqual([]);
  });
  it('cannot be left out', () => {
    const { add } = paper();
    expect(() => add('x')).toThrow();
  });
  it('is never merged with the next, however quickly it follows', async () => {
    const { shelf, p, add } = paper();
    p.begin('one'); add('1'); p.end();
    p.begin('two'); add('2'); p.end();
    await p.settled();
    expect(shelf.calls).toEqual(['one', 'two']);
    await p.undo();
    expect(p.value.text).toBe('1');
    await p.redo();
    expect(p.value.text).toBe('12');
  });
});

describe('saving', () => {
  it('goes on top of what was saved, one after the other', async () => {
    const { shelf, p } = paper();
    let go = () => {};
    shelf.hold = new Promise((r) => { go = r; });
    p.do('one', (d) => ({ text: d.text + '1' }));
    p.do('two', (d) => ({ text: d.text + '2' }));
    expect(p.saving).toBe('saving');
    p.begin('three');
    p.change((d) => ({ text: d.text + '3' }));
    go();
    await p.settled();
    expect(p.value.text).toBe('123'); // an answer does not pull the document from under the hand
    p.end();
    await p.settled();
    expect(shelf.calls).toEqual(['one', 'two', 'three']);
    expect(p.saving).toBe('saved');
  });
  it('waits for a server that is gone, and loses nothing', async () => {
    const { shelf, p, waits } = paper();
    shelf.fail = [new TypeError('offline'), new TypeError('offline')];
    p.do('one', () => ({ text: '1' }));
    await p.settled();
    expect(shelf.stored().value.text).toBe('1');
    expect(waits).toEqual([500, 1000]);
    expect(p.trouble).toBe('');
  });
  it('takes over what the server fills in', async () => {
    const { shelf, p } = paper();
    shelf.put = function (gesture, value) { Shelf.prototype.put.call(this, gesture, { text: value.text.toUpperCase() }); };
    p.do('write', () => ({ text: 'abc' }));
    await p.settled();
    expect(p.value.text).toBe('ABC');
  });
  it('stops at a state that is refused, and gives it up on demand', async () => {
    const { shelf, p } = paper();
    shelf.fail = [new Rejected('no')];
    p.do('bad', () => ({ text: 'bad' }));
    await p.settled();
    expect([p.saving, p.trouble, p.value.text]).toEqual(['refused', 'no', 'bad']);
    await p.giveUp();
    expect([p.saving, p.value.text]).toEqual(['saved', '']);
  });
  it('finishes before a step back', async () => {
    const { p } = paper();
    p.do('one', () => ({ text: '1' }));
    p.do('two', () => ({ text: '2' }));
    await p.undo();
    expect(p.value.text).toBe('1');
  });
});

describe('two windows', () => {
  it('never overwrite each other: theirs can be taken', async () => {
    const { shelf, p } = paper();
    shelf.put('elsewhere', { text: 'theirs' });
    p.do('mine', () => ({ text: 'mine' }));
    await p.settled();
    expect([p.saving, shelf.stored().value.text, p.value.text]).toEqual(['conflict', 'theirs', 'mine']);
    await p.takeTheirs();
    expect([p.saving, p.value.text]).toEqual(['saved', 'theirs']);
  });
  it('or mine goes on top, and theirs stays among the steps', async () => {
    const { shelf, p } = paper();
    shelf.put('elsewhere', { text: 'theirs' });
    p.do('mine', () => ({ text: 'mine' }));
    await p.settled();
    await p.putMineOnTop();
    await p.settled();
    expect(shelf.stored().value.text).toBe('mine');
    await p.undo();
    expect(p.value.text).toBe('theirs');
  });
  it('follow each other while the hand rests, and not while it holds something', async () => {
    const { shelf, p, add } = paper();
    shelf.put('elsewhere', { text: 'theirs' });
    p.begin('drag');
    add('m');
    await p.changedElsewhere(2);
    expect(p.value.text).toBe('m');
    p.cancel();
    await p.changedElsewhere(2);
    expect(p.value.text).toBe('theirs');
    const same = p.value;
    await p.changedElsewhere(-1);
    expect(p.value).toBe(same);
  });
});

describe('whatever the moment', () => {
  it('a gesture that ends just as a save comes back is saved too', async () => {
    for (let late = 0; late < 12; late++) {
      const { shelf, p } = paper();
      const save = shelf.save.bind(shelf);
      shelf.save = async (base, gesture, value) => {
        const stored = await save(base, gesture, value);
        if (gesture === 'one') {
          let soon: Promise<unknown> = Promise.resolve();
          for (let i = 0; i < late; i++) soon = soon.then(() => {});
          void soon.then(() => p.do('two', (d) => ({ text: d.text + '2' })));
        }
        return stored;
      };
      p.do('one', () => ({ text: '1' }));
      await new Promise((r) => setTimeout(r, 5));
      await p.settled();
      expect([shelf.calls, p.saving], `after ${late} turns`).toEqual([['one', 'two'], 'saved']);
    }
  });
});
