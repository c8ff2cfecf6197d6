// The table of marks by keyboard on a desk, and the paper of a session. Their stories follow those of field.mjs in its house.

import { execFileSync } from 'node:child_process';
import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';

import { leadOfTheDay } from './full_day.mjs';

/** Rows of the table that the stories write in; the lesson's stories marked the ones before. */
const FIRST = 24;

export const deskStories = (day) => [
  { name: 'saturday_3 the table of marks is filled by keyboard alone, and what is typed can be taken back', tell: (house) => byKeyboard(house, day) },
  { name: 'saturday_3 the table of marks keeps what a rule refuses and names the cell', tell: (house) => refused(house, day) },
  { name: 'saturday_3 the table of marks is a plain form without scripts', tell: (house) => withoutScripts(house, day) },
  { name: 'saturday_3 u25: the paper fills whole pages of Letter and of A4, and no page holds a foot alone', tell: (house) => paper(house, day) },
];

const cell = (person, row, column) => person.page.locator('#entry tbody tr').nth(row).locator('select').nth(column);
const focusIs = async (person, row, column) => {
  const name = await cell(person, row, column).getAttribute('name');
  const there = await person.page.evaluate(() => document.activeElement?.name);
  if (there !== name) throw new Error(`the focus is on ${there}, not on ${name}`);
};

async function byKeyboard(house, day) {
  const lead = await leadOfTheDay(house, 'lead at a desk', { width: 1280 });
  const keys = async (...all) => {
    for (const key of all) await lead.page.keyboard.press(key);
  };
  await lead.opens(`${day.roster}/grid?lesson=3`);
  await lead.looks('grid');
  await focusIs(lead, 0, 0);
  await keys('ArrowRight', 'ArrowDown', 'ArrowDown', 'ArrowLeft', 'ArrowUp');
  await focusIs(lead, 1, 0);
  await keys('Tab');
  await focusIs(lead, 1, 1);
  await keys('Shift+Tab');
  await focusIs(lead, 1, 0);
  // Letters, in either case, and what stands for nothing; Enter goes down, at the end to the next column.
  await cell(lead, FIRST, 0).focus();
  const rows = await lead.page.locator('#entry tbody tr').count();
  for (const key of ['m', 'P', 'M', 's', 'm', 'p'].slice(0, rows - FIRST)) await keys(key, 'Enter');
  await focusIs(lead, 0, 1);
  await cell(lead, FIRST + 3, 0).focus();
  await keys('-');
  await cell(lead, FIRST, 1).focus();
  await keys('p', 'Escape');
  const values = await lead.page.locator('#entry tbody tr').evaluateAll((all) => all.map((row) => row.querySelector('select').value));
  const typed = values.slice(FIRST).join(' ');
  if (typed !== 'meets practice meets not_tried meets practice') throw new Error(`in the cells stands: ${typed}`);
  if ((await cell(lead, FIRST, 1).inputValue()) !== 'not_tried') throw new Error('Escape did not bring back what stood there');
  // A name that is heard: rider and check; a ring that is seen; and how many are saved.
  const name = await lead.page.locator('#entry tbody tr').nth(FIRST).locator('th').innerText();
  await lead.page.getByRole('combobox', { name: `${name}, check 3.1`, exact: true }).focus();
  const ring = await cell(lead, FIRST, 0).evaluate((one) => parseFloat(getComputedStyle(one).outlineWidth));
  if (ring < 2) throw new Error(`a ring of ${ring} px`);
  for (let at = FIRST; at < rows; at += 1) await keys('Enter');
  const save = lead.page.getByRole('button', { name: 'Save the marks: 5 changed' });
  await save.focus();
  await keys('Enter');
  await lead.page.waitForLoadState();
  await lead.sees('5 marks');
  if ((await cell(lead, FIRST, 0).inputValue()) !== 'meets') throw new Error('nothing was saved');
  await lead.presses(/^Undo/);
  await lead.sees(/^Undone\./);
  if ((await cell(lead, FIRST, 0).inputValue()) !== 'not_tried') throw new Error('nothing was undone');
  await lead.context.close();
  await inTheDark(house, day);
}

/** The same table in dark colors, to be looked at. */
async function inTheDark(house, day) {
  const lead = await leadOfTheDay(house, 'lead at night', { width: 1280 });
  await lead.opens('/sign-in?scheme=dark');
  await lead.opens(`${day.roster}/grid?lesson=3`);
  await lead.page.keyboard.press('m');
  await lead.page.screenshot({ path: join(house.pictures, 'grid-dark-1280.png'), fullPage: true });
  await lead.page.keyboard.press('Escape');
}

async function refused(house, day) {
  const lead = await leadOfTheDay(house, 'lead too early', { width: 1280 });
  // Nobody has gear or a machine yet, so that no riding check can be met.
  await lead.opens(`${day.roster}/grid?lesson=6`);
  await lead.page.keyboard.press('m');
  await lead.expecting(422, () => lead.presses(/^Save the marks/));
  await lead.sees(/does not start/);
  const first = cell(lead, 0, 0);
  if ((await first.inputValue()) !== 'meets') throw new Error('what was typed is gone');
  if ((await first.getAttribute('aria-invalid')) !== 'true') throw new Error('the cell is not marked');
  await lead.page.getByRole('link', { name: /does not start/ }).first().click();
  await focusIs(lead, 0, 0);
  await lead.looks('grid-refused');
  await lead.page.keyboard.press('Escape');
}

async function withoutScripts(house, day) {
  const lead = await leadOfTheDay(house, 'lead without scripts at a desk', { width: 1280, script: false });
  await lead.opens(`${day.roster}/grid?lesson=3`);
  await cell(lead, FIRST + 1, 2).selectOption({ label: 'P' });
  await lead.presses('Save the marks');
  if ((await cell(lead, FIRST + 1, 2).inputValue()) !== 'practice') throw new Error('nothing was saved');
  await lead.presses(/^Undo/);
  if ((await cell(lead, FIRST + 1, 2).inputValue()) !== 'not_tried') throw new Error('nothing was undone');
}

/** What each page of a printed paper holds, as an independent reader of PDF reads it. */
async function paper(house, day) {
  const ofThirty = await leadOfTheDay(house, 'lead at the printer', { width: 1280 });
  const ofEight = await house.person('lead of few at the printer', { role: 'instructor', width: 1280 });
  for (const [lead, session, riders] of [[ofThirty, day.roster, 30], [ofEight, day.demo, 8]]) {
    await lead.opens(`${session}/print`);
    const sheets = await lead.page.locator('.sheet').count();
    for (const [format, width] of [['Letter', '612'], ['A4', '595']]) {
      const file = join(house.pictures, `paper-${riders}-${format}.pdf`);
      await writeFile(file, await lead.page.pdf({ format }));
      const facts = execFileSync('pdfinfo', [file]).toString();
      if (!new RegExp(`Page size: +${width}`).test(facts)) throw new Error(`no ${format}: ${facts}`);
      const pages = execFileSync('pdftotext', ['-layout', file, '-']).toString().split('\f').slice(0, -1);
      if (pages.length !== sheets) throw new Error(`${format}: ${sheets} sheets on ${pages.length} pages`);
      for (const [place, text] of pages.entries()) {
        for (const words of [`Page ${place + 1} of ${pages.length}`, 'Made ', 'Tamarack Ridge']) {
          if (!text.includes(words)) throw new Error(`${format}, page ${place + 1} lacks ${words}`);
        }
      }
      for (const words of ['Head counts', 'call 911 first', 'Out: time,', 'to call']) {
        if (!pages.some((text) => text.includes(words))) throw new Error(`${format} lacks ${words}`);
      }
      execFileSync('pdftoppm', ['-r', '60', '-png', file, file.replace(/\.pdf$/, '')]);
    }
  }
}
