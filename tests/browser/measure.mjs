// What machines can see of one page in front of them: axe, HTML, width, targets, focus, headings.

import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';

const source = (path) => readFileSync(createRequire(import.meta.url).resolve(path), 'utf8');
const AXE = source('axe-core/axe.min.js');
/** A second opinion on the same rules, by other authors. */
const SNIFFER = source('@pa11y/html_codesniffer/build/HTMLCS.js');

/** The faults of the page that this person looks at. */
export async function measured(person, { widths, scheme, whole }) {
  const { page } = person;
  const faults = [];
  faults.push(...(await html(person)));
  for (const width of widths) {
    await page.setViewportSize({ width, height: width < 600 ? 844 : 900 });
    const at = `${width} px, ${scheme}: `;
    if (width === widths[0] || whole) faults.push(...(await axe(page)).map((text) => at + text));
    faults.push(...(await page.evaluate(boxes)).map((text) => at + text));
  }
  // The narrowest phone is always looked at.
  await page.setViewportSize({ width: 320, height: 844 });
  faults.push(...[...(await page.evaluate(sideways)), ...(await tables(page))].map((text) => `320 px: ${text}`));
  await page.setViewportSize({ width: widths[0], height: 844 });
  await page.keyboard.press('Tab');
  faults.push(...(await page.evaluate(focus)));
  if (whole) {
    faults.push(...(await page.evaluate(sniffed, SNIFFER)));
    await page.emulateMedia({ media: 'print' });
    faults.push(...(await axe(page, ['color-contrast'])).map((text) => `print: ${text}`));
    await page.emulateMedia({ media: 'screen' });
  }
  return faults;
}

async function html(person) {
  const report = await person.house.html.validateString(await person.body, 'page.html');
  return report.results.flatMap(({ messages }) => messages.map((at) => `html line ${at.line}: ${at.message} (${at.ruleId})`));
}

function axe(page, only) {
  return page.evaluate(
    async ([source, only]) => {
      if (!window.axe) (0, eval)(source);
      const run = only ? { runOnly: only, resultTypes: ['violations'] } : { resultTypes: ['violations'] };
      const { violations } = await window.axe.run(document, run);
      return violations.map(({ id, help, nodes }) => `axe ${id}: ${help} (${nodes[0].target}, ${nodes.length} in all)`);
    },
    [AXE, only],
  );
}

/** In the page: what HTML_CodeSniffer calls an error of WCAG 2, level AA. It has an older list of where "username" may
 * stand than the HTML standard, which lets it stand on a field for an e-mail address; the HTML checkers agree. */
function sniffed(source) {
  if (!window.HTMLCS) (0, eval)(source);
  return new Promise((resolve) => {
    window.HTMLCS.process('WCAG2AA', document, () => {
      const errors = window.HTMLCS.getMessages().filter(({ type, msg }) => type === window.HTMLCS.ERROR && !msg.startsWith('Invalid autocomplete value: username.'));
      resolve(errors.map(({ code, msg, element }) => `sniffer ${code}: ${msg} ${element.outerHTML?.slice(0, 90)}`));
    });
  });
}

/** In the page: nothing is wider than the window but what scrolls in a box of its own. */
function sideways() {
  const wide = document.documentElement.scrollWidth - window.innerWidth;
  if (wide <= 0) return [];
  const boxed = (one) => one.closest('.scroll, [data-scroll], .table-box') !== null;
  const out = [...document.querySelectorAll('main *, header *, footer *')].filter((one) => !boxed(one) && one.getBoundingClientRect().right > window.innerWidth + 0.5);
  const worst = out.at(-1);
  return [`${wide} px too wide, as ${worst?.tagName.toLowerCase()}.${worst?.className} ${worst?.textContent.trim().slice(0, 30)}`];
}

/** U02: each table has a caption and scopes, and to a screen reader it is still a table of as many rows and cells. */
async function tables(page) {
  const drawn = await page.evaluate(() => {
    const shown = [...document.querySelectorAll('table')].filter((one) => one.checkVisibility());
    const isShown = (one) => one.checkVisibility();
    return shown.map((one) => ({
      name: one.caption?.textContent.trim() ?? '',
      bare: one.querySelectorAll('th:not([scope])').length,
      rows: [...one.rows].filter(isShown).length,
      cells: [...one.querySelectorAll('td, th')].filter(isShown).length,
    }));
  });
  if (drawn.length === 0) return [];
  const session = await page.context().newCDPSession(page);
  const { nodes } = await session.send('Accessibility.getFullAXTree');
  await session.detach();
  const read = nodes.filter(({ ignored }) => !ignored).map(({ role }) => role?.value);
  const count = (...roles) => read.filter((role) => roles.includes(role)).length;
  const sum = (part) => drawn.reduce((all, table) => all + table[part], 0);
  const faults = drawn.flatMap(({ name, bare }) => [...(name ? [] : ['a table without a caption']), ...(bare ? [`${name}: ${bare} heads without scope`] : [])]);
  const told = [count('table', 'grid'), count('row'), count('cell', 'gridcell', 'columnheader', 'rowheader')];
  const seen = [drawn.length, sum('rows'), sum('cells')];
  if (told.join() !== seen.join()) faults.push(`tables, rows, cells: ${seen.join(', ')} are drawn, ${told.join(', ')} are read out`);
  return faults;
}

/** In the page: width, one main heading, no order of focus but the page's own, and room for a thumb on what one touches. */
function boxes() {
  const faults = [];
  const wide = document.documentElement.scrollWidth - window.innerWidth;
  if (wide > 0) faults.push(`${wide} px too wide`);
  const heads = document.querySelectorAll('h1').length;
  if (heads !== 1) faults.push(`${heads} main headings`);
  for (const one of document.querySelectorAll('[tabindex]')) if (one.tabIndex > 0) faults.push(`an order of its own: ${one.outerHTML.slice(0, 80)}`);
  const least = document.body.classList.contains('field-page') ? 48 : 44;
  const isShown = (one) => one.checkVisibility({ visibilityProperty: true }) && one.getClientRects().length > 0;
  // A link within a sentence is as high as its line; every other one has room.
  const inSentence = (one) => {
    const block = one.closest('p, li, dd, td, th, h1, h2, h3, label, legend');
    const own = one.textContent.trim().length;
    return block !== null && block.textContent.trim().length > own + 3 && getComputedStyle(one).display === 'inline';
  };
  // An overlay of a link or a label takes the touch for the whole of the box that it lies in.
  const touched = (one) => {
    const overlay = getComputedStyle(one, '::before');
    if (overlay.content === 'none' || overlay.position !== 'absolute' || overlay.top !== '0px') return one.getBoundingClientRect();
    let holder = one;
    while (getComputedStyle(holder).position === 'static' && holder.parentElement) holder = holder.parentElement;
    return holder.getBoundingClientRect();
  };
  // A county of a map is as big as it is; the same way stands beside the map with room for a thumb.
  const hasRoom = ({ width, height }) => height + 0.5 >= least && width + 0.5 >= least;
  const isRepeated = (one) => one.ownerSVGElement && [...document.querySelectorAll('a[href]')].some((other) => !other.ownerSVGElement && other.getAttribute('href') === one.getAttribute('href') && hasRoom(touched(other)));
  const small = new Map();
  for (const one of document.querySelectorAll('a[href], button, input:not([type=hidden]), select, textarea, summary')) {
    if (!isShown(one) || (one.tagName === 'A' && inSentence(one)) || one.matches('.skip, .vh') || isRepeated(one)) continue;
    const whole = ['radio', 'checkbox'].includes(one.type) ? [one, ...one.labels] : [one];
    const box = whole.map(touched).reduce((a, b) => (a.width * a.height > b.width * b.height ? a : b));
    if (hasRoom(box)) continue;
    const key = `${one.tagName.toLowerCase()}${one.className ? `.${one.className}` : ''} in ${one.parentElement.tagName.toLowerCase()}.${one.parentElement.className}`;
    const size = `${Math.round(box.width)} x ${Math.round(box.height)}`;
    small.set(key, { size, text: one.textContent.trim().slice(0, 24), count: (small.get(key)?.count ?? 0) + 1 });
  }
  for (const [key, { size, text, count }] of small) faults.push(`smaller than ${least} px: ${key} ${size} ${JSON.stringify(text)}, ${count} in all`);
  return faults;
}

/** In the page: whatever takes the focus shows it. The key before this call made the ring show. */
function focus() {
  const bare = new Set();
  for (const one of document.querySelectorAll('a[href], button, input:not([type=hidden]), select, textarea, summary')) {
    if (!one.checkVisibility({ visibilityProperty: true })) continue;
    one.focus({ focusVisible: true, preventScroll: true });
    if (document.activeElement !== one) continue;
    const rings = [one, ...(one.labels ?? []), one.parentElement].map((ring) => getComputedStyle(ring));
    const shows = (style) => (style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2) || style.boxShadow !== 'none';
    if (!rings.some(shows)) bare.add(`${one.tagName.toLowerCase()}.${one.className}`);
  }
  return [...bare].map((what) => `no focus ring on ${what}`);
}
