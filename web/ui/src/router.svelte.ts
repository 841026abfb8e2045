// Addresses: / is the salle, /bout/ID the bout sheet, /bout/ID/thread its thread and
// /bout/ID/thread/N that of touch N, /touch/ID the touch desk, /touch/ID/breakdown the
// breakdown.

export type Route =
  | { page: 'salle' }
  | { page: 'bout'; id: string }
  | { page: 'thread'; id: string; /** The number of the touch; 0 where the address names none. */ at: number }
  | { page: 'desk'; id: string }
  | { page: 'breakdown'; id: string }
  | { page: 'lost' };

export function routeOf(path: string): Route {
  const [room, id, more, number, ...rest] = path.split('/').filter(Boolean).map(decodeURIComponent);
  if (rest.length > 0) return { page: 'lost' };
  if (room === 'bout' && id && more === 'thread' && (number === undefined || /^[1-9]\d{0,3}$/.test(number))) return { page: 'thread', id, at: Number(number ?? 0) };
  if (number !== undefined) return { page: 'lost' };
  if (!room) return { page: 'salle' };
  if (room === 'bout' && id && !more) return { page: 'bout', id };
  if (room === 'touch' && id && !more) return { page: 'desk', id };
  if (room === 'touch' && id && more === 'breakdown') return { page: 'breakdown', id };
  return { page: 'lost' };
}

export const pathOf = {
  salle: () => '/',
  bout: (id: string) => `/bout/${encodeURIComponent(id)}`,
  thread: (id: string, at = 0) => `/bout/${encodeURIComponent(id)}/thread${at > 0 ? `/${at}` : ''}`,
  desk: (id: string) => `/touch/${encodeURIComponent(id)}`,
  breakdown: (id: string) => `/touch/${encodeURIComponent(id)}/breakdown`,
};

class Router {
  route = $state.raw<Route>({ page: 'salle' });
  start() {
    this.route = routeOf(location.pathname);
    addEventListener('popstate', () => { this.route = routeOf(location.pathname); });
  }
  go(path: string) {
    history.pushState(null, '', path);
    this.route = routeOf(path.split('#')[0]!);
    scrollTo(0, 0);
  }
}

export const router = new Router();
