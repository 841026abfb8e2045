import { describe, expect, it } from 'vitest';
import { routeOf, pathOf } from '../router.svelte';
import { count, digits, fill, printed } from './index';
import { en } from './en';
import { own } from './en/own';
import { scoresheet } from './en/scoresheet';
import { tactics } from './en/tactics';
import { tell } from './en/tell';
import { timing } from './en/timing';

describe('words', () => {
  it('fills phrases and leaves what it does not know', () => {
    expect(fill('{a} and {b}', { a: 1 })).toBe('1 and {b}');
    expect(fill('{a}', { a: '{b}', b: 'x' })).toBe('{b}'); // a value is never a phrase
  });
  it('counts by the plural rule', () => {
    expect(count(1, { one: '{n} touch', other: '{n} touches' })).toBe('1 touch');
    expect(count(0, { one: '{n} touch', other: '{n} touches' })).toBe('0 touches');
  });
  it('never changes a digit', () => {
    for (const d of ['0.10', '1.080', '-0.012', '12345.6', '0']) expect(digits(d).replace('−', '-').replace(/,/g, '')).toBe(d);
    expect(digits('< 1')).toBe('< 1');
  });
  it('prints a number with its doubt and unit', () => {
    expect(printed({ value: '0.42', doubt: '0.06', unit: 'm', text: '' })).toBe('0.42\u00a0±\u00a00.06\u00a0m');
    expect(printed({ value: '3.1', doubt: '0.2', unit: '°', text: '' })).toBe('3.1\u00a0±\u00a00.2°');
    expect(printed({ value: '< 1 %', unit: '%', text: '< 1 %' })).toBe('< 1 %');
  });
  it('are words: no phrase is empty, ends in a blank or shouts', () => {
    let seen = 0;
    const walk = (x: unknown, at: string): void => {
      if (typeof x === 'string') {
        seen++;
        expect(x.trim(), at).toBe(x);
        expect(x, at).not.toContain('!');
      } else if (x && typeof x === 'object') for (const [k, v] of Object.entries(x)) walk(v, `${at}.${k}`);
    };
    walk({ ...en, own, scoresheet, timing, tactics, tell }, 'en');
    expect(seen).toBeGreaterThan(200);
  });
});

describe('addresses', () => {
  it('lead there and back', () => {
    expect(routeOf('/')).toEqual({ page: 'salle' });
    expect(routeOf(pathOf.bout('a b/ü'))).toEqual({ page: 'bout', id: 'a b/ü' });
    expect(routeOf(pathOf.desk('x'))).toEqual({ page: 'desk', id: 'x' });
    expect(routeOf(pathOf.breakdown('x'))).toEqual({ page: 'breakdown', id: 'x' });
    expect(routeOf(pathOf.thread('a b/ü', 7))).toEqual({ page: 'thread', id: 'a b/ü', at: 7 });
    expect(routeOf(pathOf.thread('x'))).toEqual({ page: 'thread', id: 'x', at: 0 });
    for (const bad of ['/bout/x/thread/0', '/bout/x/thread/7a', '/bout/x/thread/7/8', '/touch/x/breakdown/1', '/bout/x/other']) expect(routeOf(bad).page, bad).toBe('lost');
    expect(routeOf('/touch/x/y').page).toBe('lost');
    expect(routeOf('/nowhere').page).toBe('lost');
  });
});
