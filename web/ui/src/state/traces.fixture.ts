// An invented trace for the tests of what was followed.

import type { Trace } from './traces';

/** u grows by two a frame, and the smoothed path with it. */
export function trace(states: string, from = 10, sure = 90): Trace {
  const all = [...states];
  const seen = (s: string) => s === 'm' || s === 'f';
  return {
    who: 'left', what: 'guard', from, states, outliers: [],
    u: all.map((s, i) => (seen(s) ? 100 + 2 * i : 0)), v: all.map((s) => (seen(s) ? 50 : 0)), sd: all.map((s) => (seen(s) ? 1.5 : 0)), sure: all.map((s) => (s === 'f' ? sure : s === 'm' ? 100 : 0)),
    su: all.map((_, i) => 100 + 2 * i), sv: all.map(() => 50),
  };
}
