import { describe, expect, it } from 'vitest';
import { Film, type Player } from './film.svelte';
import { middleOf, shownAt } from './sheet';

class Fake implements Player {
  playbackRate = 1;
  seeking = false;
  playing = false;
  asked: number[] = [];
  set currentTime(t: number) { this.asked.push(t); }
  get currentTime() { return this.asked.at(-1) ?? 0; }
  async play() { this.playing = true; }
  pause() { this.playing = false; }
}

function desk() {
  const film = new Film();
  const player = new Fake();
  film.player = player;
  film.loaded(10);
  return { film, player };
}
const times = Array.from({ length: 250 }, (_, i) => i / 25);

describe('the film', () => {
  it('asks for the middle of a frame, never for its time stamp', () => {
    const { film, player } = desk();
    film.times = times;
    film.seek(4); // the time stamp of frame 100
    expect(player.currentTime).toBeCloseTo(4.02);
    for (let i = 0; i < 30; i++) film.step(1);
    expect(shownAt(times, film.at)).toBe(130);
    for (let i = 0; i < 50; i++) film.step(-1);
    expect(shownAt(times, film.at)).toBe(80);
    film.seek(0);
    film.step(-1);
    expect(shownAt(times, film.at)).toBe(0);
    film.seek(99);
    film.step(1);
    expect(shownAt(times, film.at)).toBe(249);
  });
  it('steps a 25th of a second where no time stamps are known', () => {
    const { film } = desk();
    film.seek(1);
    film.step(1);
    expect(film.at).toBeCloseTo(1.04);
  });
  it('keeps only the newest place while the player looks for one', () => {
    const { film, player } = desk();
    player.seeking = true;
    for (const t of [1, 2, 3]) film.seek(t);
    expect(player.asked).toEqual([]);
    player.seeking = false;
    film.found();
    film.found();
    expect(player.asked).toEqual([3]);
    expect(film.at).toBe(3);
  });
  it('plays faster press by press, on and back, and stops', () => {
    const { film, player } = desk();
    film.faster();
    film.playing = true;
    expect(player.playbackRate).toBe(1);
    film.faster();
    film.faster();
    film.faster();
    expect(player.playbackRate).toBe(4);
    film.seek(5);
    film.goBack();
    expect(player.playing).toBe(false);
    film.goBack();
    film.tick(0.5);
    expect(film.at).toBe(4);
    film.tick(60);
    expect([film.at, film.backwards]).toEqual([0, 0]);
  });
  it('stays where it was when the copy takes the place of the file', () => {
    const { film, player } = desk();
    film.seek(6);
    player.asked = [];
    film.loaded(10);
    expect(player.asked).toEqual([6]);
    film.other();
    expect([film.at, film.length]).toEqual([0, 0]);
  });
  it('follows the player only while it runs', () => {
    const { film } = desk();
    film.seek(2);
    film.shows(7);
    expect(film.at).toBe(2);
    film.playing = true;
    film.shows(7);
    film.stands(7.5);
    expect([film.at, film.playing]).toEqual([7.5, false]);
  });
});

describe('the frame that is shown', () => {
  it('is the last whose time has come', () => {
    expect(shownAt([0, 0.04, 0.1], 0.099)).toBe(1);
    expect(shownAt([0, 0.04, 0.1], 0.04)).toBe(1);
    expect(shownAt([0, 0.04, 0.1], 9)).toBe(2);
    expect(shownAt([0.5, 0.6], 0)).toBe(0);
    // Also where the middle lies between frames of different length.
    const uneven = [0, 0.02, 0.1, 0.11];
    for (let f = 0; f < 4; f++) expect(shownAt(uneven, middleOf(uneven, f))).toBe(f);
  });
});
