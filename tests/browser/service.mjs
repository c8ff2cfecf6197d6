// The service under test: started as `demo` on a free port with a fresh folder, ended by its own id.
// It knows no page and no browser.

import { spawn } from 'node:child_process';
import { openSync, readFileSync } from 'node:fs';
import { mkdtemp, readdir, readFile, rm } from 'node:fs/promises';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';

const PATIENCE_MS = 30_000;

/** Starts the binary; `database` is the URL of an empty PostgreSQL database, or nothing for SQLite. */
export async function startService({ binary, database, logFile }) {
  const folder = await mkdtemp(join(tmpdir(), 'waymark-walk-'));
  const data = join(folder, 'data');
  const origin = `http://localhost:${await freePort()}`;
  const address = origin.replace('http://localhost', '127.0.0.1');
  const place = database ? ['--database', database] : [];
  const log = openSync(logFile, 'w');
  const child = spawn(binary, ['demo', '--listen', address, '--data', data, ...place], {
    stdio: ['ignore', log, log],
  });
  const ended = new Promise((tell) => child.once('exit', (code, signal) => tell(code ?? signal)));
  const service = { origin, binary, data, database, logFile, child, ended, letters: () => letters(data) };
  service.stop = () => stop(service, folder);
  try {
    await becomesReady(service);
  } catch (error) {
    await service.stop();
    throw error;
  }
  return service;
}

async function becomesReady({ origin, ended, logFile }) {
  let over;
  ended.then((how) => (over = how));
  const until = Date.now() + PATIENCE_MS;
  while (Date.now() < until) {
    if (over !== undefined) throw new Error(`demo ended (${over}):\n${readFileSync(logFile, 'utf8')}`);
    const answer = await fetch(`${origin}/health/ready`).catch(() => undefined);
    if (answer?.ok) return;
    await pause(20);
  }
  throw new Error(`not ready after ${PATIENCE_MS} ms:\n${readFileSync(logFile, 'utf8')}`);
}

async function stop({ child, ended }, folder) {
  child.kill('SIGTERM');
  if ((await Promise.race([ended, pause(5_000, 'late', { ref: false })])) === 'late') {
    child.kill('SIGKILL');
    await ended;
  }
  await rm(folder, { recursive: true, force: true });
}

function freePort() {
  return new Promise((found, failed) => {
    const probe = createServer().once('error', failed);
    probe.listen(0, '127.0.0.1', () => {
      const { port } = probe.address();
      probe.close(() => found(port));
    });
  });
}

/** Every letter written so far, oldest name first: `{ to, subject, text }`, with encodings undone. */
async function letters(data) {
  const names = await readdir(data, { recursive: true });
  const mail = names.filter((name) => name.endsWith('.eml')).sort();
  return Promise.all(mail.map(async (name) => readLetter(await readFile(join(data, name), 'latin1'))));
}

function readLetter(raw) {
  const [head, body] = cut(raw);
  return { to: field(head, 'to'), subject: field(head, 'subject'), text: readPart(head, body), raw };
}

/** The text of a part: of a multipart, the texts of all its parts that are text. */
function readPart(head, body) {
  const kind = field(head, 'content-type') || 'text/plain';
  const boundary = /boundary="?([^";]+)"?/i.exec(kind)?.[1];
  if (boundary) {
    const parts = body.split(`--${boundary}`).slice(1, -1);
    return parts.map((part) => readPart(...cut(part.replace(/^\r?\n/, '')))).join('\n');
  }
  if (!/^text\//i.test(kind)) return '';
  const encoding = field(head, 'content-transfer-encoding').toLowerCase();
  if (encoding === 'base64') return Buffer.from(body, 'base64').toString('utf8');
  const bytes = encoding === 'quoted-printable' ? unquote(body.replace(/=\r?\n/g, ''), /=([0-9A-F]{2})/gi) : body;
  return Buffer.from(bytes, 'latin1').toString('utf8');
}

function cut(text) {
  const gap = /\r?\n\r?\n/.exec(text);
  return gap ? [text.slice(0, gap.index), text.slice(gap.index + gap[0].length)] : [text, ''];
}

function field(head, name) {
  const whole = head.replace(/\r?\n[ \t]+/g, ' ');
  const value = new RegExp(`^${name}:(.*)$`, 'im').exec(whole)?.[1].trim() ?? '';
  const words = value.replace(/(\?=) +(=\?)/g, '$1$2');
  return words.replace(/=\?utf-8\?([bq])\?([^?]*)\?=/gi, (_, way, text) =>
    way.toLowerCase() === 'b'
      ? Buffer.from(text, 'base64').toString('utf8')
      : Buffer.from(unquote(text.replaceAll('_', ' '), /=([0-9A-F]{2})/gi), 'latin1').toString('utf8'),
  );
}

function unquote(text, pattern) {
  return text.replace(pattern, (_, hex) => String.fromCharCode(parseInt(hex, 16)));
}
