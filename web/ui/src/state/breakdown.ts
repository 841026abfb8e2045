// Addresses of what a breakdown shows and hands out.

export interface Wish { night?: boolean; hideNames?: boolean; /** To be looked at, not kept. */ open?: boolean }

/** The address with what is wished for; what an address says already stays. */
export function addressed(href: string, wish: Wish): string {
  const [path, query = ''] = href.split('?');
  const asked = new URLSearchParams(query);
  if (wish.night) asked.set('theme', 'night');
  if (wish.hideNames) asked.set('hide_names', '1');
  if (wish.open) asked.set('open', '1');
  const q = asked.toString();
  return q ? `${path}?${q}` : path!;
}
