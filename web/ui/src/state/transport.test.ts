import { describe, expect, it } from 'vitest';
import type { Take } from '../api/client';
import { frameNo } from '../units';
import { Transport } from './transport.svelte';

function transport() {
  const t = new Transport();
  t.setTakes([{ id: 'live', video: 'v', from: 10, to: 20 }, { id: 'replay', video: 'w', from: 0, to: 5 }] as Take[]);
  t.setTimes('v', Array.from({ length: 30 }, (_, i) => (i < 15 ? i * 0.04 : 0.6 + (i - 15) * 0.1)));
  return t;
}

describe('the transport', () => {
  it('begins with the first frame of the first take', () => expect([transport().take, transport().frame]).toEqual(['live', 10]));
  it('stays within the take', () => {
    const t = transport();
    t.step(-1);
    expect(t.frame).toBe(10);
    t.step(100);
    expect(t.frame).toBe(20);
    expect(t.direction).toBe(1);
  });
  it('changes the take, and keeps it while it is there', () => {
    const t = transport();
    t.show('replay', frameNo(3));
    t.setTakes([{ id: 'replay', video: 'w', from: 0, to: 5 }] as Take[]);
    expect([t.take, t.frame]).toEqual(['replay', 3]);
    t.setTakes([{ id: 'live', video: 'v', from: 10, to: 20 }] as Take[]);
    expect([t.take, t.frame]).toEqual(['live', 10]);
  });
  it('plays by the time stamps of the file, not by a frame rate', () => {
    const t = transport();
    t.seek(frameNo(13));
    t.play(0.5);
    t.tick(0.08); // 0.04 s of the file
    expect(t.frame).toBe(14);
    t.tick(0.08);
    expect(t.frame).toBe(15);
    t.tick(0.16); // 0.08 s: frame 16 comes only after 0.1
    expect(t.frame).toBe(15);
    t.tick(0.05);
    expect(t.frame).toBe(16);
  });
  it('stops at the ends', () => {
    const t = transport();
    t.play(1);
    t.tick(9);
    expect([t.frame, t.rate]).toEqual([20, 0]);
    t.play(-1);
    t.tick(9);
    expect([t.frame, t.rate]).toEqual([10, 0]);
  });
  it('goes faster with every press the same way, and turns back at the speed it has', () => {
    const t = transport();
    t.shuttle(1);
    expect(t.rate).toBe(0.25);
    t.shuttle(1);
    t.shuttle(1);
    expect([t.rate, t.speed]).toEqual([1, 1]);
    t.shuttle(-1);
    expect(t.rate).toBe(-1);
    t.shuttle(-1);
    t.shuttle(-1);
    expect(t.rate).toBe(-2);
  });
  it('plays at the speed that was chosen, the way it goes', () => {
    const t = transport();
    t.setSpeed(0.5);
    expect(t.rate).toBe(0);
    t.toggle();
    expect(t.rate).toBe(0.5);
    t.shuttle(-1);
    t.setSpeed(1);
    expect(t.rate).toBe(-1);
    t.toggle();
    expect(t.rate).toBe(0);
  });
});
