// Reads a page out as a screen reader does, and says what a parent who hears it would miss.
//
// What must be heard is taken from what is seen: the words that stand with a field, not the attributes that tie them.

import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';

const FOLDER = createRequire(import.meta.url).resolve('@guidepup/virtual-screen-reader/package.json').replace('package.json', '');
const READER = readFileSync(`${FOLDER}lib/esm/index.browser.js`, 'utf8');
const WAY = '/screen-reader.js';

/** Roles of what one answers or presses. */
const ASKED = /^(textbox|combobox|radio|checkbox|button|link|searchbox|spinbutton)\b/;
/** What a reader adds of its own after role and name. */
const STATE = /^(not checked|checked|invalid|required|has popup \w+|not expanded|expanded|position \d+|set size \d+|current \w+)$/;

/** The page as it is heard, and what is seen of its form. */
export async function hears(person) {
  const { page } = person;
  // From the page's own host, as its content policy asks.
  await page.route(`**${WAY}`, (route) => route.fulfill({ contentType: 'text/javascript', body: READER }));
  const heard = await page.evaluate(readOut, WAY);
  await page.unroute(`**${WAY}`);
  return heard;
}

/** The lines of a transcript, for somebody to read. Answers of a list that opens are counted. */
export function transcript({ title, lang, lines }) {
  const told = [];
  let answers = 0;
  for (const { said } of [...lines, { said: '' }]) {
    if (said.startsWith('option, ')) {
      answers += 1;
      if (/, selected/.test(said)) told.push(`  ${said}`);
      continue;
    }
    if (answers) told.push(`  (${answers} answers to choose from)`);
    answers = 0;
    told.push(said);
  }
  return `(${lang}) ${title}\n\n${told.join('\n')}\n`;
}

/** Everything that a parent who hears the page would miss. */
export function missed(heard, { lang, button, isWrong = false }) {
  const { lines, fields, groups } = heard;
  const faults = [];
  const headings = lines.filter(({ said }) => /^heading, .*level 1$/.test(said));
  if (headings.length !== 1) faults.push(`${headings.length} headings of level 1 are spoken`);
  if (heard.lang !== lang) faults.push(`the page says that it is in ${heard.lang}`);
  const foreign = lines.filter((line) => line.words && line.lang !== heard.lang && !line.isTongue);
  for (const line of foreign) faults.push(`as if in ${line.lang}: ${line.said}`);
  for (const { said } of lines) {
    const [role, name] = said.split(', ');
    if (ASKED.test(role) && (!name?.trim() || STATE.test(name))) faults.push(`nameless: ${said}`);
  }
  if (button && !lines.some(({ said }) => said === `button, ${button}`)) faults.push(`the button “${button}” is not spoken`);
  for (const field of fields) faults.push(...notSpoken(`field ${field.id}`, field.said, [field.label, ...field.hints, ...field.errors]));
  for (const { legend, own, said, hints, errors } of groups) {
    const words = `group, ${legend}`;
    if (!own.some((phrase) => close(phrase).startsWith(close(words)))) faults.push(`no group is spoken by the words “${legend}”`);
    faults.push(...notSpoken(words, [...own, ...said], [...hints, ...errors]));
  }
  for (const { id, isAlone } of fields) if (isAlone) faults.push(`the answers of ${id} are spoken without a group`);
  if (isWrong) faults.push(...wronglyRefused(heard));
  else if (heard.summary) faults.push('errors are told where nothing is wrong');
  faults.push(...lines.filter(({ isEmpty }) => isEmpty).map(({ said }) => `nothing in it: ${said}`), ...twice(lines), ...outOfSight(lines));
  return faults;
}

/** What of these words is in none of the phrases by which the reader tells of one thing. */
function notSpoken(what, said, words) {
  if (!said.length) return [`${what} is not spoken`];
  const silent = words.filter((one) => one && !said.some((phrase) => close(phrase).includes(close(one))));
  return silent.map((one) => `${what} is spoken without “${one}”: ${said[0]}`);
}

/** Words without the gaps between them, which nobody hears. */
const close = (words) => words.replace(/\s+/g, '');

/** A page that came back is heard from its summary on, whose links lead to the fields, which say that they are wrong. */
function wronglyRefused({ summary, title, heading, fields, groups }) {
  if (!summary) return ['no summary of errors'];
  const faults = summary.hasFocus ? [] : ['the summary of errors is not heard first'];
  if (title.startsWith(heading) || !title.includes(heading)) faults.push(`the title of the page does not say that something is wrong: ${title}`);
  for (const { words, leads } of summary.links) if (!leads) faults.push(`“${words}” leads to nothing that takes the focus`);
  const alike = summary.links.filter(({ words }, at) => summary.links.findIndex((other) => other.words === words) < at);
  for (const words of new Set(alike.map((link) => link.words))) faults.push(`the summary says “${words}” of several fields alike`);
  const told = [...fields, ...groups].flatMap(({ errors }) => errors);
  for (const { words } of summary.links) if (!told.some((error) => error.includes(words))) faults.push(`“${words}” stands at no field`);
  for (const { id, errors, said, isPassword } of fields) {
    // The reader has no role for a password, and tells no state of it.
    if (errors.length && !isPassword && !said[0]?.includes('invalid')) faults.push(`field ${id} is not spoken as wrong`);
  }
  return faults;
}

/** Words that are spoken twice in a row, but for a label before its field and what stands within. */
function twice(lines) {
  const spoken = lines.filter(({ words }) => words);
  const again = spoken.filter((line, at) => at > 0 && line.words === spoken[at - 1].words && !line.repeatsByNature);
  return again.map(({ said }) => `twice in a row: ${said}`);
}

/** What is spoken after something that is seen below it, or right of it in the same line. */
function outOfSight(lines) {
  const seen = lines.filter(({ spot }) => spot);
  const out = [];
  for (let at = 1; at < seen.length; at += 1) {
    const [last, now] = [seen[at - 1], seen[at]];
    if (isBefore(now.spot, last.spot)) out.push(`“${now.said}” is spoken after “${last.said}”, and seen before it`);
  }
  return out;
}

function isBefore(one, other) {
  if (Math.abs(one.y - other.y) <= 6) return one.x + 6 < other.x;
  return one.y + one.height <= other.y + 6 && one.x < other.x + other.width;
}

/** In the page: everything that the reader says from top to bottom, and what is seen of the form. */
async function readOut(way) {
  const { virtual } = await import(way);
  const plain = (text) => (text ?? '').replace(/\s+/g, ' ').trim();
  const isSeen = (one) => one.checkVisibility() && one.getBoundingClientRect().width > 1;
  const focused = document.activeElement;
  const lines = [];
  const phrases = new Map();
  let last;
  await virtual.start({ container: document.body });
  for (let steps = 0; steps < 5_000; steps += 1) {
    const said = await virtual.lastSpokenPhrase();
    if (said === 'end of document') break;
    const node = virtual.activeNode;
    const element = node.nodeType === Node.TEXT_NODE ? node.parentElement : node;
    const isEnd = /^end(,| of )/.test(said);
    if (!isEnd) phrases.set(node, [...(phrases.get(node) ?? []), plain(said)]);
    const isAnswer = element.localName === 'option';
    const structure = /^(paragraph|strong|emphasis|list|listitem|term|definition|form|document|main|banner|contentinfo|figure|superscript)\b/;
    const words = isEnd || isAnswer || structure.test(said) ? '' : plain(await virtual.itemText());
    const isTongue = Boolean(element.closest('.tongue'));
    const line = { said: plain(said), words, lang: element.closest('[lang]')?.lang, isTongue };
    if (words) {
      const box = node.nodeType === Node.TEXT_NODE ? textBox(node) : element.getClientRects()[0];
      const isThere = box && box.width > 1 && !element.closest('.vh, .skip, .tongue') && !focusOnly(element);
      if (isThere) line.spot = { x: box.x + scrollX, y: box.y + scrollY, width: box.width, height: box.height };
      line.repeatsByNature = Boolean(last && belong(last, node));
      last = node;
    }
    if (/^(navigation|complementary|group|list|region|alert)\b/.test(said)) line.node = node;
    lines.push(line);
    await virtual.next();
  }
  await virtual.stop();
  const spokenIn = (one) => [...phrases.keys()].some((node) => node !== one && one.contains(node));
  for (const line of lines) {
    if (line.node) line.isEmpty = !spokenIn(line.node);
    delete line.node;
  }

  const wordsOf = (within, selector) => [...within.querySelectorAll(selector)].map((one) => plain(one.textContent)).filter(Boolean);
  const asked = [...document.querySelectorAll('main input, main select, main textarea')].filter((one) => one.type !== 'hidden' && isSeen(one));
  const fields = asked.map((one) => {
    const place = one.closest('.choice') ?? one.parentElement;
    const ask = one.closest('.ask');
    const own = ask?.localName === 'fieldset' ? place : (ask ?? place);
    return {
      id: one.id,
      label: plain(place.querySelector('label')?.textContent) || 'a label beside it',
      hints: wordsOf(own, '.hint'),
      errors: wordsOf(own, '.error'),
      said: phrases.get(one) ?? [],
      isPassword: one.type === 'password',
      isAlone: one.type === 'radio' && !one.closest('fieldset'),
    };
  });
  const groups = [...document.querySelectorAll('main fieldset')].filter(isSeen).map((one) => ({
    legend: plain(one.querySelector('legend')?.textContent) || 'a legend',
    hints: wordsOf(one, ':scope > .hint'),
    errors: wordsOf(one, ':scope > .error'),
    own: phrases.get(one) ?? [],
    said: [...one.querySelectorAll('input, select')].flatMap((each) => phrases.get(each) ?? []),
  }));
  const alert = document.querySelector('.errors');
  const takesFocus = (one) => one && (one.matches('input, select, textarea, button, a[href]') || one.hasAttribute('tabindex'));
  const leads = (link) => takesFocus(document.getElementById(link.hash.slice(1)));
  const links = [...(alert?.querySelectorAll('a') ?? [])].map((link) => ({ words: plain(link.textContent), leads: leads(link) }));
  const summary = alert && { hasFocus: alert === focused, links };
  const heading = plain(document.querySelector('h1')?.textContent);
  return { title: document.title, heading, lang: document.documentElement.lang, lines, fields, groups, summary };

  function textBox(node) {
    const range = document.createRange();
    range.selectNodeContents(node);
    return range.getClientRects()[0];
  }
  function focusOnly(element) {
    return getComputedStyle(element).position === 'absolute' && !element.matches('input');
  }
  function belong(one, other) {
    if (one.contains(other) || other.contains(one)) return true;
    const near = [one, other].map((node) => (node.nodeType === Node.TEXT_NODE ? node.parentElement : node));
    return near.some((element, at) => {
      const partner = near[1 - at];
      return element.closest('label')?.control === partner || (element.closest('legend') && partner === element.closest('fieldset'));
    });
  }
}
