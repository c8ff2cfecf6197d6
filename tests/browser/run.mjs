// Tells the stories of walk.mjs, or of another file, in order, in one house on one engine.
//
//   node tests/browser/run.mjs --engine sqlite --binary target/debug/waymark
//   node tests/browser/run.mjs --stories field --engine sqlite --binary ...            --whole: also what takes long
//   node tests/browser/run.mjs --engine postgresql --binary ... --database URL-of-an-empty-database
//
// A story fails by what it throws or by a fault of one of its people. The last line is `N passed, N failed`.

import { mkdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';

import { openHouse } from './browser.mjs';
import { startService } from './service.mjs';

const STORY_LIMIT_MS = 180_000;

const options = { engine: { type: 'string' }, binary: { type: 'string' }, database: { type: 'string' }, stories: { type: 'string', default: 'walk' }, whole: { type: 'boolean' } };
const { engine, binary, database, stories: file, whole } = parseArgs({ options }).values;
if (!['sqlite', 'postgresql'].includes(engine) || !binary || (engine === 'postgresql') !== Boolean(database)) {
  console.error('usage: run.mjs [--stories NAME] [--whole] --engine sqlite|postgresql --binary PATH [--database URL]');
  process.exit(2);
}

const { stories } = await import(`./${file}.mjs`);
const place = file === 'walk' ? engine : `${file}-${engine}`;
const pictures = fileURLToPath(new URL(`../.made/pictures/${place}/`, import.meta.url));
await rm(pictures, { recursive: true, force: true });
await mkdir(pictures, { recursive: true });

const service = await startService({ binary, database, logFile: join(pictures, 'service.log') });
let house;
const stop = async () => {
  await house?.close();
  await service.stop();
};
for (const signal of ['SIGINT', 'SIGTERM']) process.once(signal, () => stop().finally(() => process.exit(1)));

let [passed, failed] = [0, 0];
try {
  house = await openHouse({ service, pictures });
  for (const { name, tell } of stories.filter((story) => whole || !story.whole)) {
    const began = Date.now();
    const faults = await tellOne(tell);
    const took = `${((Date.now() - began) / 1000).toFixed(1)} s`;
    if (faults.length === 0) passed += 1;
    else failed += 1;
    console.log(`${faults.length ? 'FAILED' : 'ok    '} ${name} (${took})`);
    for (const fault of faults) console.log(`       ${fault}`);
  }
} finally {
  await stop();
}
console.log(`${passed} passed, ${failed} failed`);
process.exitCode = failed || !passed ? 1 : 0;

function tooLong() {
  throw new Error(`the story took more than ${STORY_LIMIT_MS / 1000} s`);
}

/** The faults of one story, its error among them; when it fails, what each person saw last is pictured. */
async function tellOne(tell) {
  const faults = [];
  try {
    await Promise.race([tell(house), pause(STORY_LIMIT_MS, undefined, { ref: false }).then(tooLong)]);
  } catch (error) {
    faults.push(error.stack ?? String(error));
  }
  faults.push(...house.faults());
  if (faults.length) {
    for (const [index, person] of house.people.entries()) {
      const path = join(pictures, `failed-${failed + 1}-${index}-${person.name}.png`);
      await person.page.screenshot({ path, fullPage: true }).catch(() => undefined);
    }
  }
  return faults;
}
