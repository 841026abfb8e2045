// Paper or night: the system's choice, unless the reader made their own. A choice
// that says what the system says anyway is forgotten, so that the page follows it
// again in the evening.

export type Light = 'paper' | 'night';

/** Where a choice is kept for the next visit; a private window may keep nothing. */
export interface Keep { get(): string | null; set(value: string | null): void }

export class Theme {
  /** The reader's own choice; null follows the system. */
  wish = $state<Light | null>(null);
  /** What the system asks for. */
  system = $state<Light>('paper');

  constructor(private keep: Keep, system: Light) {
    this.system = system;
    const kept = keep.get();
    if (kept === 'paper' || kept === 'night') this.wish = kept;
  }

  get light(): Light { return this.wish ?? this.system; }
  get night(): boolean { return this.light === 'night'; }

  turn() {
    const other: Light = this.night ? 'paper' : 'night';
    this.wish = other === this.system ? null : other;
    this.keep.set(this.wish);
  }
}

const name = 'mesure-light';
const local: Keep = {
  get: () => { try { return localStorage.getItem(name); } catch { return null; } },
  set: (v) => {
    try { if (v === null) localStorage.removeItem(name); else localStorage.setItem(name, v); } catch { /* a private window keeps nothing */ }
  },
};

const dark = typeof matchMedia === 'undefined' ? undefined : matchMedia('(prefers-color-scheme: dark)');
export const theme = new Theme(local, dark?.matches ? 'night' : 'paper');
dark?.addEventListener('change', (e) => { theme.system = e.matches ? 'night' : 'paper'; });
