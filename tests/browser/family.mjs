// Getting into one's account, as a family and as staff do: with a link by mail, with a new password, with a second
// step. The stories follow each other in one house.

import { execFileSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';

import { linkTo } from './link.mjs';
import { codeOf } from './second_step.mjs';

const PASSWORD = 'four gray geese above';
const NEW = 'cinco piedras mojadas en fila';

/** What one story leaves for the next. */
const kept = {};

export const stories = [
  { name: 's15: a mother without scripts gets in by a link, in Spanish, and chooses a password', tell: byLink },
  { name: 's11: a father keeps others out with an app on his phone, by keyboard alone', tell: withApp },
  { name: 's11: a new coordinator sets up the second step before any page opens', tell: asStaff },
  { name: 's17: an administrator finds an account, sends a link and tells of a lost phone', tell: helpedIn },
];

async function byLink(house) {
  const first = await house.person('demo parent', { role: 'parent' });
  await first.follows('Your account');
  await first.seesHeading('Your account');
  await first.looks('account');
  kept.email = (await first.page.locator('dd', { hasText: '@' }).first().innerText()).trim();
  await first.opens('/account/address');
  await first.seesHeading('First a link by mail');
  await first.looks('account-by-link');
  await first.opens('/sign-ins');
  await first.looks('account-sign-ins');

  const madre = await house.person('madre', { script: false, locale: 'es-US' });
  await madre.opens('/sign-in?lang=es');
  await madre.follows('No tengo contraseña o la olvidé');
  await madre.looks('link-ask');
  await madre.types('Correo electrónico', 'nada');
  await madre.expecting(422, () => madre.presses('Enviar el enlace'));
  await madre.looks('link-ask-error');
  await madre.types('Correo electrónico', kept.email);
  await madre.presses('Enviar el enlace');
  await madre.seesHeading('Mire en su correo');
  await madre.looks('link-sent');
  const link = await linkTo(house, kept.email);
  await madre.opens(link);
  await madre.looks('link');
  await madre.presses('Entrar y elegir otra contraseña');
  await madre.seesHeading('Una contraseña nueva');
  await madre.looks('account-password');
  await madre.types('Contraseña nueva', '123456789012');
  await madre.expecting(422, () => madre.presses('Guardar la contraseña'));
  await madre.looks('account-password-error');
  await madre.types('Contraseña nueva', NEW);
  await madre.presses('Guardar la contraseña');
  await madre.seesHeading('Su cuenta');
  await madre.expecting(410, () => madre.opens(link));
  await madre.looks('link-over');
}

async function withApp(house) {
  const father = await house.person('father');
  await father.signsInWith(kept.email, NEW);
  await father.opens('/account/second-step');
  await father.looks('second-step');
  const secret = (await father.page.locator('.code').first().innerText()).replaceAll(' ', '');
  await typesWithKeys(father, '#code', codeOf(secret));
  await typesWithKeys(father, '#password', NEW);
  await father.page.keyboard.press('Enter');
  await father.seesHeading('Your account');
  await father.sees('10 recovery codes are left');
  await father.looks('account-with-second-step');
  await father.presses('Sign out');
  await father.signsInWith(kept.email, NEW);
  await father.looks('code');
  await father.types('Code', '000000');
  await father.expecting(422, () => father.presses('Sign in'));
  await father.looks('code-error');
  await typesWithKeys(father, '#code', codeOf(secret, 30));
  await father.page.keyboard.press('Enter');
  await father.page.waitForURL((url) => url.pathname === '/');
  await father.opens('/account/address');
  await father.types('New e-mail address', 'new.home@example.org');
  await father.types('Your password now', NEW);
  await father.looks('account-address');
  await father.presses('Send the link');
  await father.looks('account-address-sent');
  await father.opens(await linkTo(house, 'new.home@example.org'));
  await father.looks('link-address');
  await father.presses('Use this address');
  await father.looks('link-address-done');
  await house.letterTo('new.home@example.org', 2);
  await father.opens('/account');
  await father.follows('Go without the second step');
  await father.looks('account-without');
  await father.types('Your password now', NEW);
  await father.presses('Take the second step away');
  await father.sees('A code from your phone keeps others out');
}

async function asStaff(house) {
  const { binary, data, database } = house.service;
  const file = join(data, 'new-password');
  writeFileSync(file, `${PASSWORD}\n`, { mode: 0o600 });
  const place = database ? ['--database', database] : [];
  const who = ['--email', 'ida.brandt@example.org', '--given', 'Ida', '--family', 'Brandt', '--phone', '406-555-0142', '--role', 'coordinator'];
  execFileSync(binary, ['staff', 'add', '--data', data, ...place, ...who, '--password-file', file], { stdio: 'pipe' });
  const ida = await house.person('ida', { width: 1280 });
  await ida.signsInWith('ida.brandt@example.org', PASSWORD);
  await ida.seesHeading('Set up your second step');
  await ida.looks('second-step-staff');
  await ida.opens('/season');
  await ida.seesHeading('Sign in');
  await ida.opens('/sign-in/code');
  await ida.types('Code in the app now', '000000');
  await ida.expecting(422, () => ida.presses('Save and go on'));
  await ida.looks('second-step-error');
  const secret = (await ida.page.locator('.code').first().innerText()).replaceAll(' ', '');
  await ida.types('Code in the app now', codeOf(secret));
  await ida.presses('Save and go on');
  await ida.opens('/season');
  await ida.seesHeading('Season');
}

async function helpedIn(house) {
  const administrator = await house.person('administrator', { role: 'administrator', width: 1280 });
  await administrator.opens('/people');
  await administrator.follows('Find the account');
  await administrator.looks('accounts');
  await administrator.types('E-mail address of the account', 'nobody@example.org');
  await administrator.expecting(422, () => administrator.presses('Find the account'));
  await administrator.looks('accounts-error');
  await administrator.types('E-mail address of the account', 'ida.brandt@example.org');
  await administrator.presses('Find the account');
  await administrator.seesHeading('Ida Brandt');
  await administrator.looks('account-of-somebody');
  await administrator.presses('Send a link to sign in');
  await linkTo(house, 'ida.brandt@example.org');
  await administrator.presses('Both are lost: ask another administrator');
  await administrator.sees('Another administrator agrees after speaking to the person');
  await administrator.presses('Shut this account');
  await administrator.sees('This account is shut.');
  await administrator.looks('account-shut');
  await administrator.presses('Open this account again');
  await administrator.seesHeading('Shut the account');
}

/** Reaches the field with the Tab key and types. */
async function typesWithKeys(person, field, text) {
  const isThere = () => person.page.locator(field).evaluate((one) => one === document.activeElement);
  await person.page.locator('h1').click();
  for (let tabs = 0; tabs < 40 && !(await isThere()); tabs += 1) await person.page.keyboard.press('Tab');
  if (!(await isThere())) throw new Error(`the Tab key does not come to ${field}`);
  await person.page.keyboard.type(text);
}
