// The office and its families: two entries of one child become one and are parted again; a sheet of last season comes in,
// looked at row by row, and is taken back; a file that is no sheet is refused in words.

import { Keys } from './keys.mjs';
import { questionTo } from './link.mjs';
import { family, freeSessions, registers } from './register.mjs';

/** As an office keeps it: a title, a head over two rows, semicolons, names with a comma, a blank line and a total. */
const SHEET = `Riders of last season;;;;;;
Child;;;;Parent or guardian;;
First name;Last name;DOB;Where from;Mother or father;Cell #;Mail
Ada;"Smith, Jr.";2/28/2017;Lewis and Clark;Rosa Smith;406 555 0171;rosa@example.org
Nina;Smith;4/27/2016;30049;Rosa Smith;(406) 555-0171;
Bo;Quill;13/40/2016;Elsewhere;Ewa Quill;call me;
;;;;;;
Jude;St. James;12/1/2015;Lewis and Clark County;James St. James;406-555-0180;
Total;4;;;;;
`;
/** The first bytes of a picture. */
const PICTURE = Buffer.from('89504e470d0a1a0a0000000d49484452000000010000000108060000001f15c489', 'hex');

export const stories = [
  { name: 'u37: two entries of one child are found, become one, and are parted again', tell: twice },
  { name: 's50: a picture that calls itself a workbook is refused in words', tell: refused },
  { name: 'u35 family_10: a sheet is brought by keyboard, looked at row by row, taken, and taken back', tell: imported },
];

async function twice(house) {
  const [maren, chidi] = [await house.person('first adult'), await house.person('second adult')];
  const [first, second] = await freeSessions(maren);
  const entries = [
    [maren, first, family('Zoë Marisol', { name: 'Okafor-Lind', email: 'maren.twice@example.org' })],
    [chidi, second, family('ZOE MARISOL', { name: 'Okafor Lind', by: 'Chidi', email: 'chidi.twice@example.org', phone: '406 555 0163' })],
  ];
  for (const [adult, session, whose] of entries) {
    await registers(adult, session, whose);
    await adult.opens(await questionTo(house, whose.adult.email));
    await adult.presses('Yes, it was me');
  }
  const office = await house.person('office', { role: 'coordinator', width: 1280 });
  await office.opens('/families');
  await office.looks('office-families');
  await office.follows('Children who may be entered twice');
  await office.sees('Zoë Marisol Okafor-Lind');
  await office.looks('office-twice');
  await office.follows(/One child or two\?.*(Zoë|ZOE) MARISOL/i);
  await office.sees('The second entry');
  await office.looks('office-compare');
  await office.expecting(422, () => office.presses('Save'));
  await office.sees('Choose what they are');
  await office.looks('office-compare-wrong');
  await office.page.locator('label[for="verdict"]').click();
  await office.ticks('I have spoken with these adults');
  await office.presses('Save');
  await office.seesHeading('Zoë Marisol Okafor-Lind');
  await office.sees('Entered twice before');
  for (const name of ['Maren Okafor-Lind', 'Chidi Okafor Lind']) await office.seesHeading(name);
  await office.looks('office-merged');
  for (const adult of [maren, chidi]) {
    await adult.opens('/riders');
    const registrations = await adult.page.locator('main a[href^="/registrations/"]').count();
    if (registrations !== 2) throw new Error(`${adult.name} sees ${registrations} registrations of the one child`);
  }
  await office.presses('Part them again');
  await office.doesNotSee('Entered twice before');
  await office.doesNotSee('Chidi Okafor Lind');
  await office.looks('office-parted');
  await chidi.opens('/riders');
  await chidi.sees('ZOE MARISOL Okafor Lind');
  await chidi.doesNotSee('Zoë Marisol Okafor-Lind');
}

async function refused(house) {
  const office = await house.person('office again', { role: 'coordinator', width: 1280 });
  await office.opens('/families');
  await office.follows('Families from a file');
  await office.looks('office-import');
  await office.expecting(422, () => office.presses('Look at it'));
  await office.sees('Choose a file');
  await office.looks('office-import-none');
  await office.page.locator('#file').setInputFiles({ name: 'riders.xlsx', mimeType: 'application/octet-stream', buffer: PICTURE });
  await office.expecting(422, () => office.presses('Look at it'));
  await office.sees(/picture/);
  await office.looks('office-import-picture');
}

async function imported(house) {
  const office = await house.person('office at the keys', { role: 'coordinator', width: 1280 });
  await office.opens('/families/import');
  const keys = new Keys(office);
  await keys.comesToField('file');
  const [chooser] = await Promise.all([office.page.waitForEvent('filechooser'), keys.press('Space')]);
  await chooser.setFiles({ name: 'last season.csv', mimeType: 'text/csv', buffer: Buffer.from(SHEET) });
  await keys.comesTo('the button', (one) => one.matches('form.form button.main'));
  await keys.pressesAndGoes('Enter');
  await office.seesHeading('Columns of last season.csv');
  await office.sees(/Text in UTF-8 with semicolons/);
  await office.looks('office-columns');
  await office.expecting(422, () => office.presses('Look at the rows'));
  await office.looks('office-columns-wrong');
  for (const [column, meaning] of [
    ['First name', 'child_given'], ['Last name', 'child_family'], ['DOB', 'birth_date'], ['Where from', 'county'],
    ['Mother or father', 'adult_name'], ['Cell #', 'phone'], ['Mail', 'email'],
  ]) await office.page.getByLabel(column).selectOption(meaning);
  await office.page.locator('input[name=order][value=month_first]').check();
  await office.presses('Look at the rows');
  await office.sees('3 children, 2 new adults');
  await office.sees('Ada Smith, Jr.');
  await office.looks('office-rows');
  await rowByRow(office);
  await office.expecting(422, () => office.presses('Add them'));
  await office.sees('Say that the rows that cannot be taken stay out');
  await office.looks('office-rows-wrong');
  await office.ticks('Rows that cannot be taken stay out');
  await office.presses('Add them');
  await office.sees('3 children, 2 new adults');
  await office.looks('office-imported');
  if ((await found(office, 'Smith Jr')) !== 1) throw new Error('the child of the sheet is not found');
  await office.looks('office-found');
  await office.opens('/families/import');
  await office.presses('Take back last season.csv');
  await office.sees('Taken back: 3 children went.');
  await office.looks('office-taken-back');
  if (await found(office, 'Smith Jr')) throw new Error('a child of the sheet is still here');
}

/** Each row says what becomes of it. */
async function rowByRow(office) {
  const rows = (await office.page.locator('.ruled li').allInnerTexts()).map((text) => text.replace(/\s+/g, ' '));
  const expected = [
    /Ada Smith, Jr\., born February 28, 2017 Rosa Smith, \(406\) 555-0171, rosa@example\.org Added, with a new family/,
    /Nina Smith, born April 27, 2016 .* Added to the family of row/,
    /Bo · Quill · 13\/40\/2016 · Elsewhere .* no county of the state has this name or code/,
    /Jude St\. James, born December 1, 2015 .* Added, with a new family/,
  ];
  if (rows.length !== expected.length) throw new Error(`${rows.length} rows: ${rows.join(' | ')}`);
  for (const [at, pattern] of expected.entries()) if (!pattern.test(rows[at])) throw new Error(`row ${at + 1} says: ${rows[at]}`);
  await office.sees(/blank/);
  await office.sees(/totals/);
}

/** How many children the office finds by some words. */
async function found(office, words) {
  await office.opens('/families');
  await office.types('Name or telephone', words);
  await office.presses('Find');
  return office.page.locator('section[aria-labelledby=found] li').count();
}
