// How the machines that look at pages come to the demonstration: by its buttons, and faster than a person may.

import { linkTo } from './link.mjs';

/** One machine opens hundreds of pages in a minute, which a person does not: the service is started without these limits. */
export function unhurried(...kinds) {
  for (const kind of kinds) {
    for (const number of ['PER_MINUTE', 'BURST']) process.env[`WAYMARK_RATES_${kind}_${number}`] = '1000000';
  }
}

/** Presses the demonstration's button of a role, whatever it is called. */
export async function signIn(person, role) {
  await person.opens('/sign-in');
  await person.page.locator(`form:has(input[name="role"][value="${role}"]) button`).click();
  await person.page.waitForURL((url) => url.pathname !== '/sign-in');
}

/** Chooses a password by a link: without one the pages that change an account lead elsewhere. */
export async function choosePassword(house, person) {
  await person.opens('/account/by-link');
  await person.page.locator('main form button').click();
  await person.page.waitForURL('**/sign-in/link/sent');
  await person.opens(await linkTo(house, 'ingrid.lindqvist@example.org'));
  await person.page.locator('button[name=then]').click();
  await person.page.locator('#password').fill('nine gray geese above');
  await person.page.locator('main form button').click();
  await person.page.waitForURL('**/account');
}
