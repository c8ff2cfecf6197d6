// Makes the pictures of the README from a fresh demonstration: the roster and a registration on a phone, a certificate,
// the report on a desk. Run it after a page of these has changed:
//
//   cargo build --release && node tests/browser/pictures.mjs --binary target/release/waymark
//
// Needs what tests/run installs (Chromium, poppler). Prints the size of each picture.

import { execFileSync } from 'node:child_process';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';

import { openHouse } from './browser.mjs';
import { startService } from './service.mjs';

const { binary } = parseArgs({ options: { binary: { type: 'string' } } }).values;
if (!binary) {
  console.error('usage: pictures.mjs --binary PATH');
  process.exit(2);
}

const shelf = fileURLToPath(new URL('../../deploy/pictures/', import.meta.url));
const scratch = await mkdtemp(join(tmpdir(), 'waymark-pictures-'));
const service = await startService({ binary, logFile: join(scratch, 'service.log') });
let house;
try {
  house = await openHouse({ service, pictures: scratch });
  await roster();
  await registration();
  await certificate();
  await report();
} finally {
  await house?.close();
  await service.stop();
  await rm(scratch, { recursive: true, force: true });
}

async function roster() {
  const lead = await house.person('lead', { role: 'instructor' });
  await lead.opens('/my-sessions');
  await lead.follows('Open the roster');
  await keep(lead.page, 'roster-390');
}

async function registration() {
  const parent = await house.person('parent');
  await parent.opens('/sessions');
  await parent.page.locator('.entry h3 a').first().click();
  await parent.follows('Register a child');
  await parent.types('Given name', 'Łukasz');
  await parent.types('Family name (optional)', 'Holt-Núñez');
  await parent.page.getByLabel('Month').selectOption({ label: '03 March' });
  await parent.types('Day', '14');
  await parent.types('Year', String(new Date().getFullYear() - 12));
  await keep(parent.page, 'registration-390');
}

/** The paper of a guardian's child, as a reader of PDF draws it. */
async function certificate() {
  const guardian = await house.person('guardian', { role: 'parent' });
  await guardian.opens('/registrations');
  const receipts = await guardian.page.locator('a[href^="/registrations/"]').evaluateAll((all) => all.map((a) => a.pathname));
  for (const receipt of receipts) {
    await guardian.opens(receipt);
    const link = guardian.page.locator('a[href$="/paper.pdf"]');
    if (!(await link.count())) continue;
    const paper = await guardian.context.request.get(await link.first().getAttribute('href'));
    const file = join(scratch, 'paper');
    await writeFile(`${file}.pdf`, await paper.body());
    execFileSync('pdftoppm', ['-png', '-singlefile', '-r', '100', `${file}.pdf`, file]);
    const image = (await readFile(`${file}.png`)).toString('base64');
    // A page of its own: ours let no image in.
    const page = await (await house.browser.newContext({ viewport: { width: 1100, height: 850 } })).newPage();
    await page.setContent(`<body style="margin:0"><img alt="" src="data:image/png;base64,${image}">`);
    return keep(page, 'certificate');
  }
  throw new Error('the guardian of the demonstration has no certificate');
}

async function report() {
  const coordinator = await house.person('coordinator', { role: 'coordinator', width: 1280 });
  await coordinator.opens('/reports');
  await coordinator.page.setViewportSize({ width: 1280, height: 1000 });
  await keep(coordinator.page, 'report-1280');
}

/** What the window shows, as WebP: sharp letters in few bytes. */
async function keep(page, name) {
  const devtools = await page.context().newCDPSession(page);
  const { data } = await devtools.send('Page.captureScreenshot', { format: 'webp', quality: 70 });
  const picture = Buffer.from(data, 'base64');
  await writeFile(join(shelf, `${name}.webp`), picture);
  console.log(`${name}.webp ${(picture.length / 1024).toFixed(0)} kB`);
}
