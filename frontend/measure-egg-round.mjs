// Prints the JavaScript that the egg round needs, gzipped, from the finished build; fails above its ceiling.
// Everything else is asked for on demand (and is in the worker's cache before it is).
import { readFileSync } from 'node:fs';
import { gzipSync } from 'node:zlib';

const CEILING_BYTES = 30 * 1024;
const ENTRY = 'index.html';
const ROUND = /^src\/screens\/egg-round\/egg-round\.tsx$/;

const manifest = JSON.parse(readFileSync('dist/.vite/manifest.json', 'utf8'));
const needed = new Set();
const walk = (key) => {
  const chunk = manifest[key];
  if (!chunk || needed.has(chunk.file)) return;
  needed.add(chunk.file);
  for (const imported of chunk.imports ?? []) walk(imported);
};

walk(ENTRY);
for (const key of Object.keys(manifest).filter((each) => ROUND.test(each))) walk(key);

const files = [...needed].filter((file) => file.endsWith('.js'));
let total = 0;
for (const file of files) {
  const bytes = gzipSync(readFileSync(`dist/${file}`), { level: 9 }).length;
  total += bytes;
  console.log(`${String(bytes).padStart(7)}  ${file}`);
}
console.log(
  `${String(total).padStart(7)}  bytes of JavaScript, gzipped, for the egg round; at most ${CEILING_BYTES}`,
);
if (files.length === 0 || total > CEILING_BYTES) process.exit(1);
