// What somebody's code app does, for people who sign in with a second step.

import { createHmac } from 'node:crypto';

/** Sets an app up on the page that asks for it, and goes on; gives the app's key. */
export async function setsUpSecondStep(person) {
  const secret = (await person.page.locator('.code').first().innerText()).replaceAll(' ', '');
  await person.page.locator('#code').fill(codeOf(secret));
  await person.page.locator('main form button[type=submit]').click();
  await person.page.waitForURL((url) => !url.pathname.startsWith('/sign-in'));
  return secret;
}

/** The six digits of an app (RFC 6238: HMAC-SHA-1, steps of thirty seconds), so many seconds from now. */
export function codeOf(secret, later = 0) {
  const bits = [...secret].map((letter) => 'ABCDEFGHIJKLMNOPQRSTUVWXYZ234567'.indexOf(letter).toString(2).padStart(5, '0')).join('');
  const key = Buffer.from(bits.match(/.{8}/g).map((byte) => parseInt(byte, 2)));
  const step = Buffer.alloc(8);
  step.writeBigUInt64BE(BigInt(Math.floor((Date.now() / 1000 + later) / 30)));
  const hash = createHmac('sha1', key).update(step).digest();
  const at = hash[19] & 15;
  return String((hash.readUInt32BE(at) & 0x7fffffff) % 1_000_000).padStart(6, '0');
}
