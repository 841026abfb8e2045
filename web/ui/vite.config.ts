import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vitest/config';

// The desk is served by the program itself under a strict policy: everything is a
// file of its own, nothing is inlined, no style or script stands in the page.
export default defineConfig({
  plugins: [svelte()],
  build: {
    outDir: 'dist',
    emptyOutDir: false, // dist/.keep stays; "npm run build" clears the rest
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    target: 'es2022',
  },
  server: { proxy: { '/api': 'http://127.0.0.1:8420', '/media': 'http://127.0.0.1:8420', '/font': 'http://127.0.0.1:8420' } },
  resolve: process.env.VITEST ? { conditions: ['browser'] } : undefined,
  test: { include: ['src/**/*.test.ts'], environment: 'node' },
});
