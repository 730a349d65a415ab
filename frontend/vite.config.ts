import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import { defineConfig, type Plugin } from 'vite';

const DIST = 'dist';

/** Every file of the finished app build, as the worker's precache list wants it. Hashed files need no revision. */
function builtFiles(): { url: string; revision: string | null }[] {
  const files = readdirSync(DIST, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => relative(DIST, join(entry.parentPath, entry.name)).replaceAll('\\', '/'))
    .filter((path) => path !== 'sw.js' && !path.startsWith('.') && !/\.(br|gz|map)$/.test(path))
    .sort();
  return files.map((path) => ({
    // The house answers /index.html with a redirect to /, which no cache may keep: the page is kept as /.
    url: path === 'index.html' ? '/' : `/${path}`,
    revision: path.startsWith('assets/')
      ? null
      : createHash('sha256')
          .update(readFileSync(join(DIST, path)))
          .digest('hex')
          .slice(0, 16),
  }));
}

/** Writes the list of built files where the worker reads it. */
function precacheList(): Plugin {
  return {
    name: 'barnbook-precache-list',
    renderChunk: (code) => code.replace('self.__WB_MANIFEST', () => JSON.stringify(builtFiles())),
  };
}

interface Modules {
  getModuleInfo(id: string): { isEntry: boolean; importers: string[] } | null;
}

/**
 * One file for all that the first screen needs: split by who shares what, it is a tenth larger and takes ten requests.
 * A module belongs to it when a chain of plain imports leads to it from the entry.
 */
function firstLoad(): (id: string, modules: Modules) => string | null {
  const needed = new Set<string>();
  const leadsThere = (id: string, modules: Modules, seen: Set<string>): boolean => {
    if (needed.has(id)) return true;
    if (seen.has(id)) return false;
    seen.add(id);
    const info = modules.getModuleInfo(id);
    if (!info?.isEntry && !info?.importers.some((from) => leadsThere(from, modules, seen))) return false;
    needed.add(id);
    return true;
  };
  return (id, modules) => (leadsThere(id, modules, new Set()) ? 'first' : null);
}

const house = { target: process.env.BARNBOOK_HOUSE ?? 'http://127.0.0.1:8000', changeOrigin: false };

export default defineConfig(({ mode }) => ({
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  server: { proxy: { '/api': house } },
  preview: { proxy: { '/api': house } },
  define: { __APP_VERSION__: JSON.stringify(process.env.npm_package_version ?? '0.0.0') },
  ...(mode === 'worker'
    ? {
        publicDir: false as const,
        plugins: [precacheList()],
        build: {
          outDir: DIST,
          emptyOutDir: false,
          target: 'es2022',
          rollupOptions: {
            input: 'src/worker/worker.ts',
            output: { format: 'iife' as const, entryFileNames: 'sw.js' },
          },
        },
      }
    : {
        build: {
          outDir: DIST,
          target: 'es2022',
          manifest: '.vite/manifest.json',
          // All of it is in the worker's keeping: lists of what to fetch ahead and styles in twenty pieces only make it larger.
          modulePreload: false,
          cssCodeSplit: false,
          rollupOptions: { output: { codeSplitting: { groups: [{ name: firstLoad() }] } } },
        },
      }),
}));
