// People in front of a real Chromium. A person has a name, a window and a page; what they do reads like a story:
//
//   const coordinator = await house.person('coordinator', { role: 'coordinator' });
//   await coordinator.opens('/sessions/new');
//   await coordinator.types('Where', 'Big Sky field');
//   await coordinator.presses('Save the session');
//   await coordinator.sees('Seats: 8');
//   await coordinator.looks('session-new');
//
// Anything that a page should not do is kept as a fault of the person: an error on the console, a broken content
// policy, an answer of 400 or more that was not expected, a request to another host.

import { readFileSync } from 'node:fs';
import { mkdir } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';

import { HtmlValidate } from 'html-validate';
import { chromium } from 'playwright-core';

/** The widths at which every page is looked at: a phone and a desk. */
export const WIDTHS = [390, 1280];

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const RULES = JSON.parse(readFileSync(new URL('./html-validate.json', import.meta.url), 'utf8'));
const FLAGS = ['--no-sandbox', '--disable-gpu', '--disable-background-networking', '--no-first-run'];
// A machine that is busy elsewhere may stand still for seconds.
const PATIENCE_MS = 30_000;

/** The running service with a browser before it; pictures go to `pictures`. */
export async function openHouse({ service, pictures, chromiumPath = '/usr/bin/chromium' }) {
  await mkdir(pictures, { recursive: true });
  // Playwright gives each launch a new profile folder and removes it at the end.
  const browser = await chromium.launch({ executablePath: chromiumPath, headless: true, args: FLAGS });
  const house = { service, browser, pictures, people: [], html: new HtmlValidate(RULES), seen: new Map() };
  house.person = (name, wishes = {}) => Person.enter(house, name, wishes);
  house.faults = () => house.people.flatMap((person) => person.faults.splice(0));
  house.letterTo = (address, number) => letterTo(service, address, number);
  house.close = () => browser.close();
  return house;
}

/** The letter of that number to an address, once the service has written it. */
async function letterTo(service, address, number) {
  const until = Date.now() + PATIENCE_MS;
  while (Date.now() < until) {
    const found = (await service.letters()).filter((letter) => letter.to.includes(address));
    if (found.length >= number) return found[number - 1];
    await pause(100);
  }
  throw new Error(`no letter ${number} to ${address} within ${PATIENCE_MS} ms`);
}

/** One person with cookies of their own. */
export class Person {
  /** `role`: signs in by the demo's button. `script: false`: a browser without JavaScript. `touch`: a screen to tap on. */
  static async enter(house, name, { role, script = true, width = WIDTHS[0], locale = 'en-US', touch = false }) {
    const context = await house.browser.newContext({
      baseURL: house.service.origin,
      javaScriptEnabled: script,
      hasTouch: touch,
      locale,
      timezoneId: 'America/Denver',
      viewport: { width, height: 844 },
    });
    context.setDefaultTimeout(PATIENCE_MS);
    const person = new Person({ house, name, context, script, page: await context.newPage() });
    await person.#watch();
    house.people.push(person);
    if (role) await person.signsInAs(role);
    return person;
  }

  constructor(parts) {
    Object.assign(this, parts, { faults: [], expected: [], answer: undefined, body: undefined });
  }

  async #watch() {
    const fault = (text) => this.faults.push(`${this.name} at ${this.page.url()}: ${text}`);
    await this.context.route('**/*', (route) => {
      const url = route.request().url();
      if (url.startsWith(this.house.service.origin) || /^(data|blob):/.test(url)) return route.continue();
      fault(`asked another host: ${url}`);
      return route.abort();
    });
    this.page.on('dialog', (dialog) => {
      // A page with answers that are not sent asks before it lets go; who only looks leaves them.
      if (dialog.type() === 'beforeunload' && this.leavesUnsent) return dialog.accept();
      fault(`a dialog opened: ${dialog.message()}`);
      return dialog.dismiss();
    });
    this.page.on('pageerror', (error) => fault(`script failed: ${error.message}`));
    this.page.on('console', (line) => {
      // An answer of 400 or more is judged below, where it may have been expected.
      const isAnswer = line.text().startsWith('Failed to load resource: the server responded');
      if (line.type() === 'error' && !isAnswer) fault(`console: ${line.text()}`);
    });
    this.page.on('response', (answer) => {
      const request = answer.request();
      if (request.isNavigationRequest() && request.frame() === this.page.mainFrame()) this.#reads(answer);
      if (answer.status() < 400) return;
      const awaited = this.expected.indexOf(answer.status());
      if (awaited < 0) fault(`${request.method()} ${answer.url()} answered ${answer.status()}`);
      else this.expected.splice(awaited, 1);
    });
  }

  /** Keeps the page's answer with its body, which the browser lets go of once another page is open. */
  #reads(answer) {
    this.answer = answer;
    this.body = answer.text().catch(() => '');
  }

  /** Presses the button of the demo's sign-in page that names the role. */
  async signsInAs(role) {
    await this.opens('/sign-in');
    await this.page.getByRole('button', { name: new RegExp(`\\b${role}\\b`, 'i') }).first().click();
    await this.page.waitForURL((url) => url.pathname !== '/sign-in');
  }

  /** Signs in as somebody who has no button. */
  async signsInWith(email, password) {
    await this.opens('/sign-in');
    await this.page.locator('#email').fill(email);
    await this.page.locator('#password').fill(password);
    await this.page.getByRole('button', { name: 'Sign in', exact: true }).click();
    await this.page.waitForURL((url) => url.pathname !== '/sign-in');
  }

  async opens(path) {
    await this.page.goto(path);
  }

  /** Types into the field with this label. */
  async types(label, text) {
    await this.#field(label).fill(text);
  }

  /** Picks from a list by the words shown, or by a pattern of them. */
  async picks(label, choice) {
    const field = this.#field(label);
    if (typeof choice === 'string') return void (await field.selectOption({ label: choice }));
    const all = await field.locator('option').allTextContents();
    await field.selectOption({ label: all.map((text) => text.trim()).find((text) => choice.test(text)) });
  }

  /** Ticks a box, or one of several choices. Pass the question too where two questions have the same choices. */
  async ticks(label, question) {
    const place = question ? this.page.getByRole('group', { name: question }) : this.page;
    // The label lies over its box, as it does under a thumb.
    await place.locator('label').filter({ hasText: label }).first().click();
  }

  async presses(button) {
    await this.page.getByRole('button', { name: button }).click();
    await this.settles();
  }

  /** Waits until the page has come, and until a field page has sent what was pressed. */
  async settles(patience = PATIENCE_MS) {
    await this.page.waitForLoadState();
    if (this.script) await this.page.waitForFunction(() => !document.documentElement.dataset.sending, undefined, { timeout: patience });
  }

  async follows(link) {
    await this.page.getByRole('link', { name: link }).first().click();
    await this.page.waitForLoadState();
  }

  async goesBack() {
    await this.page.goBack();
  }

  async sees(words) {
    await this.page.getByText(words).first().waitFor({ state: 'visible' });
  }

  async doesNotSee(words) {
    const count = await this.page.getByText(words).count();
    if (count) throw new Error(`${this.name} sees ${JSON.stringify(String(words))} ${count} times`);
  }

  async seesHeading(words) {
    await this.page.getByRole('heading', { name: words }).first().waitFor({ state: 'visible' });
  }

  /** Does something whose answer is meant to be this status, of 400 or more. */
  async expecting(status, deed) {
    this.expected.push(status);
    await deed();
    if (this.expected.includes(status)) throw new Error(`${this.name} expected an answer of ${status}`);
  }

  /** Saves the file that a link gives; returns its bytes and suggested name. */
  async downloads(link) {
    const coming = this.page.waitForEvent('download');
    await this.page.getByRole('link', { name: link }).first().click();
    const file = await coming;
    return { name: file.suggestedFilename(), bytes: readFileSync(await file.path()) };
  }

  /** The words of one element, by role and name. */
  async reads(role, name) {
    return (await this.page.getByRole(role, { name }).first().innerText()).trim();
  }

  /** Looks at the page at both widths: pictures, nothing wider than the window, axe, and well-formed HTML. */
  async looks(name) {
    const before = this.page.viewportSize();
    const kept = this.house.seen.get(name);
    if (kept) throw new Error(`two pages are called ${name}: ${kept} and ${this.page.url()}`);
    this.house.seen.set(name, this.page.url());
    for (const width of WIDTHS) {
      await this.page.setViewportSize({ width, height: width < 600 ? 844 : 900 });
      await this.page.screenshot({ path: join(this.house.pictures, `${name}-${width}.png`), fullPage: true });
      const wide = await this.page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
      if (wide > 0) this.faults.push(`${name}: ${wide} px wider than ${width}`);
      if (width === WIDTHS[0]) await this.#axe(name);
    }
    await this.page.setViewportSize(before);
    await this.#html(name);
  }

  async #axe(name) {
    const page = this.script ? this.page : await this.#twin();
    const found = await page.evaluate(async (source) => {
      if (!window.axe) (0, eval)(source);
      const { violations } = await window.axe.run(document, { resultTypes: ['violations'] });
      return violations.map(({ id, help, nodes }) => `${id}: ${help} (${nodes[0].target}, ${nodes.length} in all)`);
    }, AXE);
    for (const text of found) this.faults.push(`${name}: axe ${text}`);
    if (!this.script) await page.context().close();
  }

  /** The same answer in a browser that has JavaScript, since axe cannot run without it. */
  async #twin() {
    const url = this.page.url();
    const [headers, body] = [await this.answer.allHeaders(), await this.body];
    const context = await this.house.browser.newContext({ viewport: this.page.viewportSize() });
    await context.route(url, (route) => route.fulfill({ status: 200, contentType: headers['content-type'], body }));
    const page = await context.newPage();
    await page.goto(url);
    return page;
  }

  async #html(name) {
    const report = await this.house.html.validateString(await this.body, `${name}.html`);
    for (const { messages } of report.results) {
      for (const at of messages) this.faults.push(`${name}: html line ${at.line}: ${at.message} (${at.ruleId})`);
    }
  }

  #field(label) {
    return this.page.getByLabel(label, { exact: typeof label === 'string' });
  }
}
