// Addresses of what a breakdown shows and hands out.

export interface Wish {
  night?: boolean;
  /** How fencers are called: names, initials or anonymous. */
  names?: string;
  /** What a plate is drawn for, how wide, and whether without ground. */
  theme?: string; width?: number; clear?: boolean;
  /** To be looked at, not kept. */ open?: boolean;
}

/** The address with what is wished for; what an address says already stays. */
export function addressed(href: string, wish: Wish): string {
  const [path, query = ''] = href.split('?');
  const asked = new URLSearchParams(query);
  if (wish.night) asked.set('theme', 'night');
  if (wish.theme && wish.theme !== 'paper') asked.set('theme', wish.theme);
  if (wish.width && /\.png$/.test(path!)) asked.set('width', String(wish.width));
  if (wish.clear) asked.set('clear', '1');
  if (wish.names && wish.names !== 'names') asked.set('names', wish.names);
  if (wish.open) asked.set('open', '1');
  const q = asked.toString();
  return q ? `${path}?${q}` : path!;
}
