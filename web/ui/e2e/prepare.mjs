// Draws the invented bout before the tests begin, so that those that run side by side
// find it in the cache, and none of them waits for it against its own clock.

import { browse, serve } from './harness.mjs';
import { demo } from './hands.mjs';

const server = await serve();
await demo(server, 900);
await server.stop();
await (await browse()).close(); // and the browser starts
