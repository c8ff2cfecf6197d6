// What a family does for itself after the first child: a second adult by letter, health answers that are kept, its data
// in a file, and the wish to be deleted, which the office decides.

import { questionTo } from './link.mjs';
import { family, freeSessions, known, registers } from './register.mjs';

/** What one story leaves for the next. */
const kept = {};

export const stories = [
  { name: 'family_3: a second adult joins by a letter in Spanish, without scripts, and stands back', tell: secondAdult },
  { name: 'u05: health answers are kept by choice, taken by one press, and taken away', tell: keptHealth },
  { name: 'family_8: a family takes its data along, asks for deletion, and the office deletes', tell: goes },
];

/** Registers, and shows that the address is hers. Gives the receipt's way. */
async function registered(house, person, session, whose) {
  const receipt = await registers(person, session, whose);
  await person.opens(await questionTo(house, whose.adult.email));
  await person.presses('Yes, it was me');
  return receipt;
}

async function secondAdult(house) {
  const mother = await house.person('mother');
  kept.mother = mother;
  kept.sessions = await freeSessions(mother);
  await registered(house, mother, kept.sessions[0], family('Signe', { email: 'maren.letters@example.org', keep: true }));
  await mother.opens('/riders');
  await mother.looks('adults-riders');
  await mother.follows('Signe Holt-Núñez');
  await mother.looks('adults-child');
  kept.child = new URL(mother.page.url()).pathname;
  await mother.follows('Ask another adult');
  await mother.looks('adults-ask');
  await mother.expecting(422, () => mother.presses('Send the letter'));
  await mother.sees("Write the other adult's e-mail address");
  await mother.looks('adults-ask-wrong');
  await mother.types('Name of the other adult', 'Chidi');
  await mother.types('E-mail address of the other adult', 'chidi@example.org');
  await mother.ticks('Spanish', 'Language of the letter');
  await mother.presses('Send the letter');
  await mother.sees('asked at chidi@example.org');
  await mother.looks('adults-asked');

  const letter = await house.letterTo('chidi@example.org', 1);
  if (letter.subject !== 'Maren Holt-Núñez le pide que responda por Signe') throw new Error(`the letter is about: ${letter.subject}`);
  const link = /\/invitations\/[A-Za-z0-9_-]+(\?lang=es)?/.exec(letter.text)[0];
  const father = await house.person('father', { script: false, locale: 'es-US' });
  await father.opens(link);
  await father.seesHeading('¿Responder también por un niño?');
  await father.looks('adults-invitation');
  await father.expecting(422, () => father.presses('Yo también respondo'));
  await father.looks('adults-invitation-wrong');
  for (const [id, text] of [['given', 'Chidi'], ['family', 'Okafor'], ['phone', '406 555 0163']]) await father.page.locator(`#${id}`).fill(text);
  await father.presses('Yo también respondo');
  await father.seesHeading('Mis niños');
  await father.looks('adults-father');
  await father.follows('Signe Holt-Núñez');
  await father.sees('Maren Holt-Núñez');
  await father.looks('adults-father-child');
  await mother.opens(kept.child);
  await mother.sees('Chidi Okafor');
  await mother.doesNotSee('asked at');
  await mother.looks('adults-both');
  const stranger = await house.person('stranger', { script: false });
  await stranger.expecting(410, () => stranger.opens(link));
  await stranger.looks('adults-invitation-over');

  await father.follows('Ya no respondo por Signe');
  await father.looks('adults-leave');
  await father.presses('Dejar de responder');
  await father.doesNotSee('Signe');
  await father.looks('adults-left');
  await father.expecting(404, () => father.opens(kept.child));
  await mother.opens(kept.child);
  await mother.doesNotSee('Chidi Okafor');
}

async function keptHealth(house) {
  const { mother, sessions } = kept;
  await mother.opens(kept.child);
  await mother.sees(/^Your answers of .* are kept for the next registration\.$/);
  let pressed = 0;
  const receipt = await registers(mother, sessions[1], known('Maren Holt-Núñez'), async (step) => {
    // The stories `parent` look at the other steps of a second child.
    if (['rider', 'health', 'adults'].includes(step)) await mother.looks(`adults-second-${step}`);
    if (step !== 'health') return undefined;
    await mother.sees(/^Signe's answers of .* are in the form\.$/);
    await Promise.all([mother.page.waitForNavigation(), mother.page.getByRole('button', { name: 'Nothing has changed' }).click()]);
    pressed += 1;
    return 'answered';
  });
  if (pressed !== 1) throw new Error(`pressed ${pressed} times`);
  await mother.opens(receipt);
  await mother.sees('Signe is registered');
  await mother.opens(kept.child);
  await mother.presses('Take them away');
  await mother.doesNotSee(/are kept for the next registration/);
  await mother.looks('adults-forgotten');
  let asked = false;
  await registers(mother, sessions[2], known('Maren Holt-Núñez'), async (step) => {
    if (step !== 'health') return;
    asked = true;
    await mother.doesNotSee('Nothing has changed');
    await mother.doesNotSee(/are in the form/);
  });
  if (!asked) throw new Error('health was not asked again');
}

async function goes(house) {
  const otto = await house.person('otto');
  const brandvolds = family('Ida', { name: 'Brandvold', by: 'Otto', email: 'otto@example.org', phone: '406 555 0188' });
  const receipt = await registered(house, otto, kept.sessions[3], brandvolds);
  await otto.opens('/account');
  await otto.follows('See Your data');
  await otto.looks('adults-data');
  const file = await otto.downloads('Download all of it');
  const { held } = JSON.parse(file.bytes.toString());
  const children = held.riders.map(({ given_name, family_name }) => `${given_name} ${family_name}`);
  if (children.join() !== 'Ida Brandvold') throw new Error(`${file.name} holds ${children.join(', ') || 'no child'}`);
  if (file.bytes.toString().includes('Signe')) throw new Error(`${file.name} tells of another family`);
  await otto.expecting(422, () => otto.presses('Ask for deletion'));
  await otto.looks('adults-data-wrong');
  await otto.ticks("I want my family's data deleted");
  await otto.presses('Ask for deletion');
  await otto.sees(/^You asked for deletion on/);
  await otto.looks('adults-data-asked');

  const office = await house.person('office', { role: 'coordinator', width: 1280 });
  await office.opens('/');
  await office.follows(/^(One family asks|\d+ families ask)$/);
  await office.sees(/A place of Ida Brandvold at/);
  await office.looks('adults-deletions-place');
  const wishes = await office.page.locator('main section').count();
  const wish = office.page.locator('section', { hasText: 'Otto Brandvold' });
  if (await wish.getByRole('button').count()) throw new Error('a place is held, and the office may delete');
  await otto.opens(receipt);
  await otto.follows('Give up the place');
  await otto.presses('Give up the place');
  await office.page.reload();
  await office.expecting(422, () => office.presses('Delete what may go of Otto Brandvold'));
  await office.sees('Speak with the family first');
  await office.looks('adults-deletions-wrong');
  await wish.locator('label').click();
  await office.presses('Delete what may go of Otto Brandvold');
  await office.seesHeading('Asked to be deleted');
  await office.doesNotSee('Otto Brandvold');
  if ((await office.page.locator('main section').count()) !== wishes - 1) throw new Error('another wish went too');
  await office.looks('adults-deletions-done');
  await otto.opens('/account/data');
  await otto.seesHeading('Sign in');
  await office.opens('/families');
  await office.types('Name or telephone', 'Brandvold');
  await office.presses('Find');
  await office.sees('Nobody found');
}
