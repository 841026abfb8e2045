// Addresses: / is the salle, /bout/ID the bout sheet, /touch/ID the touch desk,
// /touch/ID/breakdown the breakdown.

export type Route =
  | { page: 'salle' }
  | { page: 'bout'; id: string }
  | { page: 'desk'; id: string }
  | { page: 'breakdown'; id: string }
  | { page: 'lost' };

export function routeOf(path: string): Route {
  const [room, id, more, ...rest] = path.split('/').filter(Boolean).map(decodeURIComponent);
  if (rest.length > 0) return { page: 'lost' };
  if (!room) return { page: 'salle' };
  if (room === 'bout' && id && !more) return { page: 'bout', id };
  if (room === 'touch' && id && !more) return { page: 'desk', id };
  if (room === 'touch' && id && more === 'breakdown') return { page: 'breakdown', id };
  return { page: 'lost' };
}

export const pathOf = {
  salle: () => '/',
  bout: (id: string) => `/bout/${encodeURIComponent(id)}`,
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
