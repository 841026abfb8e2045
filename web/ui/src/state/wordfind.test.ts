import { describe, expect, it } from 'vitest';
import { among, WordFinder } from './wordfind';

/** A door that counts what it is asked. */
function door(answer: (query: Record<string, unknown>) => unknown) {
  const asked: Record<string, unknown>[] = [];
  const GET = (_: string, { params }: { params: { query: Record<string, unknown> } }) => {
    asked.push(params.query);
    const said = answer(params.query);
    return said instanceof Error ? Promise.reject(said) : Promise.resolve({ data: said, response: new Response() });
  };
  return { asked, door: { GET } as never };
}

describe('words by their first letters', () => {
  it('are asked for once, by what was typed, the line and the weapon', async () => {
    const d = door((q) => ({ words: [{ word: `${String(q.typed)}…` }], exact: false }));
    let weapon = 'epee';
    const f = new WordFinder('bout-1', () => weapon, d.door);
    expect((await f.find(' ri ', { line: 'blade' })).words[0]!.word).toBe('ri…');
    await f.find('ri', { line: 'blade' });
    await f.find('RI', { line: 'blade' });
    expect(d.asked).toEqual([{ typed: 'ri', line: 'blade', bout: 'bout-1' }]);
    await f.find('ri', { choice: true });
    weapon = 'foil';
    await f.find('ri', { line: 'blade' });
    expect(d.asked).toHaveLength(3);
    f.forget();
    await f.find('ri', { line: 'blade' });
    expect(d.asked).toHaveLength(4);
  });
  it('are asked for again where no answer came', async () => {
    let lost = true;
    const d = door(() => (lost ? new TypeError('lost') : { words: [], exact: false }));
    const f = new WordFinder('', () => 'foil', d.door);
    await expect(f.find('ri')).rejects.toThrow('lost');
    lost = false;
    expect((await f.find('ri')).exact).toBe(false);
    expect(d.asked[1]).toEqual({ typed: 'ri', weapon: 'foil' });
  });
  it('come from a list at hand as well', async () => {
    const usual = among([{ word: 'launch', about: 'It goes.' }, { word: 'hit' }]);
    expect(await usual('la')).toEqual({ words: [{ word: 'launch', about: 'It goes.' }], exact: false });
    expect((await usual('Hit')).exact).toBe(true);
  });
});
