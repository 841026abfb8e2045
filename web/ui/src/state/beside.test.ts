import { describe, expect, it } from 'vitest';
import { Besides, grouped, takeName, type TakeToShow } from './beside.svelte';

const take = (touch: string, name: string, bout = ''): TakeToShow => ({ ...(touch ? { touch } : {}), take: name, title: `${touch} ${name}`, from: 0, to: 9, ...(bout ? { bout } : {}) });

/** A door that answers when it is told to. */
function door() {
  const asked: { named: string | undefined; answer: (all: TakeToShow[]) => void; fail: () => void }[] = [];
  const GET = (_: string, o: { params: { query: { named?: string } } }) => new Promise((done) => {
    asked.push({ named: o.params.query.named, answer: (d) => done({ data: d, response: { ok: true } }), fail: () => done({ error: { detail: 'The server is busy.' }, response: { ok: false, status: 503 } }) });
  });
  return { asked, door: { GET } as never };
}
const settled = () => new Promise((r) => setTimeout(r, 0));

describe('what plays beside', () => {
  it('offers each take once, in groups', () => {
    const all = [take('', 'slow'), take('t7', 'live'), take('x1', 'live', 'Autumn open'), take('t8', 'live'), take('x2', 'live', 'Club night')];
    expect(grouped(all, 'This touch', 'This bout').map((g) => [g.name, g.takes.map(takeName)])).toEqual([
      ['This touch', [' slow']], ['This bout', ['t7 live', 't8 live']], ['Autumn open', ['x1 live']], ['Club night', ['x2 live']],
    ]);
    expect(grouped([], 'a', 'b')).toEqual([]);
  });

  it('asks for the bout once, and answers the newest name alone', async () => {
    const d = door();
    const b = new Besides('t1', d.door);
    void b.load();
    d.asked[0]!.answer([take('t7', 'live')]);
    await settled();
    void b.find('autumn');
    void b.find(' open ');
    expect(d.asked.map((a) => a.named)).toEqual([undefined, 'autumn', 'open']);
    d.asked[2]!.answer([take('x1', 'live', 'Autumn open'), take('t7', 'live')]);
    await settled();
    d.asked[1]!.answer([]); // late
    await settled();
    expect(b.all([take('', 'slow')]).map(takeName)).toEqual([' slow', 't7 live', 'x1 live']);
    await b.find('  ');
    expect(b.found).toBeNull();
    void b.find('x');
    d.asked[3]!.fail();
    await settled();
    expect(b.trouble).toBe('The server is busy.');
  });
});
