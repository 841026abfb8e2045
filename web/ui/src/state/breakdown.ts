// Addresses of what a breakdown shows and hands out.

export interface Wish { night?: boolean; hideNames?: boolean }

/** The address with what is wished for; what an address says already stays. */
export function addressed(href: string, wish: Wish): string {
  const [path, query = ''] = href.split('?');
  const asked = new URLSearchParams(query);
  if (wish.night) asked.set('theme', 'night');
  if (wish.hideNames) asked.set('hide_names', '1');
  const q = asked.toString();
  return q ? `${path}?${q}` : path!;
}
