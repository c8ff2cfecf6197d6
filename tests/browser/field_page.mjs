// What the field asks of a page, measured as it is drawn: contrast of text, borders and shapes (U19), size and gaps of what
// one touches (U04), and what has the focus while one tabs through (U03). Contrast is counted as WCAG 2.2 defines it.

/** The faults of the page that this person looks at. */
export async function fieldFaults(person, { scheme, tabs }) {
  const { page } = person;
  const faults = tabs ? await tabbed(page) : [];
  // What is folded away is looked at too.
  await page.evaluate(() => document.querySelectorAll('details').forEach((one) => (one.open = true)));
  faults.push(...(await page.evaluate(seen, scheme)), ...(await page.evaluate(touched)));
  return faults;
}

/** Presses Tab from the top to the end of the page. */
async function tabbed(page) {
  const faults = new Set();
  await page.evaluate(() => {
    document.activeElement?.blur();
    scrollTo(0, 0);
  });
  let first;
  for (let presses = 0; presses < 400; presses += 1) {
    await page.keyboard.press('Tab');
    const at = await page.evaluate(focused);
    if (at === undefined || at.key === first) break;
    first ??= at.key;
    for (const fault of at.faults) faults.add(fault);
  }
  return [...faults];
}

/** In the page: colors of text, edges and shapes against what lies behind them. */
function seen(scheme) {
  const faults = new Map();
  const paint = document.createElement('canvas').getContext('2d', { willReadFrequently: true });
  const rgba = (color) => {
    paint.clearRect(0, 0, 1, 1);
    paint.fillStyle = color;
    paint.fillRect(0, 0, 1, 1);
    const [r, g, b, a] = paint.getImageData(0, 0, 1, 1).data;
    return { r, g, b, a: a / 255 };
  };
  const part = (value) => (value / 255 <= 0.04045 ? value / 255 / 12.92 : ((value / 255 + 0.055) / 1.055) ** 2.4);
  const light = ({ r, g, b }) => 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b);
  const ratio = (a, b) => {
    const [high, low] = [light(a), light(b)].sort((x, y) => y - x);
    return (high + 0.05) / (low + 0.05);
  };
  const ground = (one) => {
    for (let at = one; at; at = at.parentElement) {
      const color = rgba(getComputedStyle(at).backgroundColor);
      if (color.a === 1) return color;
    }
    return rgba('white');
  };
  const isShown = (one) => one.checkVisibility({ visibilityProperty: true, opacityProperty: true }) && !one.closest('.vh, .skip, #shapes');
  const name = (one) => `${one.tagName.toLowerCase()}.${one.getAttribute('class') ?? ''}`;
  const tell = (least, found, what, one) => {
    if (found + 0.005 >= least) return;
    const key = `${what} ${name(one)} below ${least}:1`;
    faults.set(key, `${key}: ${found.toFixed(2)} at ${JSON.stringify(one.textContent.trim().slice(0, 30))}`);
  };
  const body = parseFloat(getComputedStyle(document.body).fontSize);
  if (innerWidth < 600 && body < 18) faults.set('body', `body text of ${body} px`);
  for (const one of document.body.querySelectorAll('*')) {
    if (!isShown(one)) continue;
    const style = getComputedStyle(one);
    const behind = ground(one);
    const text = [...one.childNodes].some((node) => node.nodeType === Node.TEXT_NODE && node.textContent.trim());
    const isField = one.matches('select, textarea, input:not([type=radio], [type=checkbox])');
    if (text || isField) {
      const ink = rgba(style.color);
      tell(7, ratio(ink, behind), 'text', one);
      if (parseFloat(style.fontSize) < 15) faults.set(`small ${name(one)}`, `text of ${style.fontSize} in ${name(one)}`);
    }
    const outside = ground(one.parentElement ?? one);
    for (const side of ['Top', 'Right', 'Bottom', 'Left']) {
      const edge = rgba(style[`border${side}Color`]);
      if (style[`border${side}Style`] === 'none' || parseFloat(style[`border${side}Width`]) === 0 || edge.a === 0) continue;
      tell(4.5, Math.max(ratio(edge, behind), ratio(edge, outside)), 'edge', one);
    }
    if (one.tagName === 'svg' || one.tagName === 'SVG') tell(4.5, ratio(rgba(style.color), behind), 'shape', one);
  }
  if (scheme === 'sun') {
    const [paper, ink] = [ground(document.body), rgba(getComputedStyle(document.body).color)];
    if (ratio(paper, ink) < 20.9 || light(paper) < 1) faults.set('sun', 'sun is not black on white');
  }
  return [...faults.values()];
}

/** In the page: what one touches is 48 px high and wide, and 8 px from the next. */
function touched() {
  const isShown = (one) => one.checkVisibility({ visibilityProperty: true }) && one.getClientRects().length > 0;
  const inSentence = (one) => {
    const block = one.closest('p, li, dd, td, th, h1, h2, h3, label, legend');
    return block !== null && block.textContent.trim().length > one.textContent.trim().length + 3 && getComputedStyle(one).display === 'inline';
  };
  // An overlay of a label takes the touch for the whole of the box that it lies in.
  const box = (one) => {
    const overlay = getComputedStyle(one, '::before');
    if (overlay.content === 'none' || overlay.position !== 'absolute' || overlay.top !== '0px') return one.getBoundingClientRect();
    let holder = one;
    while (getComputedStyle(holder).position === 'static' && holder.parentElement) holder = holder.parentElement;
    return holder.getBoundingClientRect();
  };
  const largest = (one) => {
    const whole = ['radio', 'checkbox'].includes(one.type) ? [one, ...one.labels] : [one];
    return whole.map(box).reduce((a, b) => (a.width * a.height > b.width * b.height ? a : b));
  };
  const targets = [...document.querySelectorAll('a[href], button, input:not([type=hidden]), select, textarea, summary')]
    .filter((one) => isShown(one) && !(one.tagName === 'A' && inSentence(one)) && !one.matches('.skip, .vh'))
    .map((one) => ({ one, box: largest(one), sticks: one.closest('.field-bar') !== null }));
  const name = ({ one }) => `${one.tagName.toLowerCase()}.${one.getAttribute('class') ?? ''} ${JSON.stringify((one.textContent || one.labels?.[0]?.textContent || one.name || '').trim().slice(0, 24))}`;
  const faults = new Map();
  for (const target of targets) {
    const { width, height } = target.box;
    if (width + 0.5 < 48 || height + 0.5 < 48) faults.set(`small ${target.one.className}`, `smaller than 48 px: ${name(target)} ${Math.round(width)} x ${Math.round(height)}`);
  }
  for (const [place, a] of targets.entries()) {
    for (const b of targets.slice(place + 1)) {
      if (a.sticks !== b.sticks || a.one.contains(b.one)) continue;
      const across = Math.max(a.box.left, b.box.left) - Math.min(a.box.right, b.box.right);
      const down = Math.max(a.box.top, b.box.top) - Math.min(a.box.bottom, b.box.bottom);
      const gap = Math.max(across, down);
      if (gap + 0.5 < 8) faults.set(`gap ${a.one.className} ${b.one.className}`, `${gap.toFixed(1)} px between ${name(a)} and ${name(b)}`);
    }
  }
  return [...faults.values()];
}

/** In the page: whether what has the focus is seen whole, with a ring that is seen. */
function focused() {
  const one = document.activeElement;
  if (!one || one === document.body) return undefined;
  const all = [...document.querySelectorAll('*')];
  const name = `${one.tagName.toLowerCase()}.${one.className} ${JSON.stringify((one.textContent || one.name || '').trim().slice(0, 24))}`;
  const faults = [];
  const seen = one.matches('.mark > input') ? one.parentElement : one;
  const box = seen.getBoundingClientRect();
  for (const bar of document.querySelectorAll('.field-bar, thead th, .site-head')) {
    const style = getComputedStyle(bar);
    if (!['sticky', 'fixed'].includes(style.position) || bar.contains(one)) continue;
    const over = bar.getBoundingClientRect();
    const down = Math.min(box.bottom, over.bottom) - Math.max(box.top, over.top);
    const across = Math.min(box.right, over.right) - Math.max(box.left, over.left);
    if (down > 0.5 && across > 0.5 && over.width > 0) faults.push(`${bar.className || bar.tagName} covers ${Math.round(down)} px of ${name}`);
  }
  if (box.bottom <= 0 || box.top >= innerHeight) faults.push(`out of sight with the focus: ${name}`);
  const rings = [seen, ...(one.labels ?? [])].map((ring) => ({ ring, style: getComputedStyle(ring) }));
  const ring = rings.find(({ style }) => style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2);
  if (!ring) return { key: all.indexOf(one), faults: [...faults, `no ring of 2 px on ${name}`] };
  const part = (value) => (value / 255 <= 0.04045 ? value / 255 / 12.92 : ((value / 255 + 0.055) / 1.055) ** 2.4);
  const light = (color) => {
    const [r, g, b] = color.match(/[\d.]+/g).map(Number);
    return 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b);
  };
  let behind = 'rgb(255, 255, 255)';
  for (let at = ring.ring.parentElement; at; at = at.parentElement) {
    const color = getComputedStyle(at).backgroundColor;
    if (!/, 0\)$/.test(color)) {
      behind = color;
      break;
    }
  }
  const [high, low] = [light(ring.style.outlineColor), light(behind)].sort((a, b) => b - a);
  const contrast = (high + 0.05) / (low + 0.05);
  if (contrast < 3) faults.push(`a ring of ${contrast.toFixed(1)}:1 on ${name}`);
  return { key: all.indexOf(one), faults };
}
