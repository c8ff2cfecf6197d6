// A thumb on a phone. It taps only what lies in its reach on the screen, counts its taps, keys, swipes and the children it
// looked at, and says what they cost by the program's model (bar U22). Real seconds are told beside the model's.

/** Seconds of the model: a tap, a key, and a child who is looked at for the first time. It has no price for a swipe. */
const COST = { tap: 1.2, key: 0.3, look: 1.2 };
/** How far one swipe moves the page: half a screen. */
const SWIPE = 420;

export class Hand {
  constructor(person) {
    Object.assign(this, { person, page: person.page, taps: 0, keys: 0, swipes: 0, looked: new Set(), began: performance.now() });
  }

  /** Looks at a child; a second look at the same child is free. */
  looks(child) {
    this.looked.add(child);
  }

  /** Taps what is shown, swiping until it lies between the edge of the screen and the bar at the thumb. */
  async touches(target) {
    const spot = await this.#reach(target);
    this.taps += 1;
    await this.page.touchscreen.tap(spot.x, spot.y);
  }

  async #reach(target) {
    for (let swipes = 0; swipes < 60; swipes += 1) {
      const place = await target.evaluate(reached);
      if (place.spot) return place.spot;
      // Its row was drawn anew under the finger: it is looked for again.
      if (place.gone) continue;
      this.swipes += 1;
      await this.page.evaluate((far) => scrollBy({ top: far, behavior: 'instant' }), place.below ? SWIPE : -SWIPE);
    }
    throw new Error('nothing brings it into reach');
  }

  /** What it costs by the model, and the seconds that went by here. */
  cost() {
    const model = this.taps * COST.tap + this.keys * COST.key + this.looked.size * COST.look;
    return { model: Math.round(model * 10) / 10, real: (performance.now() - this.began) / 1000 };
  }

  told() {
    const { model, real } = this.cost();
    const counts = `${this.taps} taps, ${this.keys} keys, ${this.looked.size} children looked at, ${this.swipes} swipes`;
    return `${model.toFixed(1)} s by the model (${counts}), ${real.toFixed(1)} s here`;
  }
}

/** In the page: the middle of an element, when a tap there meets it; else whether it lies below. */
function reached(one) {
  if (!one.isConnected) return { gone: true };
  const box = one.getBoundingClientRect();
  const bar = document.querySelector('.field-bar');
  const floor = bar && !bar.contains(one) && getComputedStyle(bar).position === 'sticky' ? bar.getBoundingClientRect().top : innerHeight;
  const [x, y] = [box.left + box.width / 2, box.top + box.height / 2];
  const isThere = box.top >= 0 && box.bottom <= floor;
  const hit = isThere && document.elementFromPoint(x, y);
  const spot = hit && (one.contains(hit) || hit.contains(one) || hit.control === one || one.control === hit) ? { x, y } : undefined;
  return { spot, below: box.bottom > floor };
}
