// A keyboard alone: Tab, Space, arrows, Enter and letters. Nothing is clicked, and no script sets a field.

/** How many times Tab is pressed in search of something. */
const PATIENCE = 80;

export class Keys {
  constructor(person) {
    Object.assign(this, { person, page: person.page, count: 0 });
  }

  async press(...all) {
    for (const key of all) await this.page.keyboard.press(key);
    this.count += all.length;
  }

  async type(text) {
    await this.page.keyboard.type(text);
    this.count += text.length;
  }

  /** Presses a key that leads to another page. */
  async pressesAndGoes(key) {
    await Promise.all([this.page.waitForNavigation(), this.press(key)]);
  }

  /** Goes on with Tab until the focus is at what a test in the page is true of; all the way it must be in sight. */
  async comesTo(what, isIt) {
    for (let tabs = 0; tabs < PATIENCE; tabs += 1) {
      await this.press('Tab');
      const lost = await this.page.evaluate(unseen);
      if (lost) throw new Error(`on the way to ${what} the focus is lost to sight: ${lost}`);
      const place = await this.page.evaluateHandle(() => document.activeElement);
      if (await place.evaluate(isIt)) return;
    }
    throw new Error(`the Tab key does not come to ${what}`);
  }

  async comesToField(id) {
    if (await this.#hasFocus(id)) return;
    for (let tabs = 0; tabs < PATIENCE; tabs += 1) {
      await this.press('Tab');
      const lost = await this.page.evaluate(unseen);
      if (lost) throw new Error(`on the way to ${id} the focus is lost to sight: ${lost}`);
      if (await this.#hasFocus(id)) return;
    }
    throw new Error(`the Tab key does not come to ${id}`);
  }

  async isAt(id) {
    if (!(await this.#hasFocus(id))) throw new Error(`the focus is not at ${id}`);
  }

  #hasFocus(id) {
    return this.page.evaluate((wanted) => document.activeElement?.id === wanted, id);
  }

  async types(fields) {
    for (const [id, text] of Object.entries(fields)) {
      await this.comesToField(id);
      await this.type(text);
    }
  }

  /** Picks from a list that opens by the beginning of the words, and sees that it is picked. */
  async picks(id, words, value) {
    await this.comesToField(id);
    await this.type(words);
    const picked = await this.page.locator(`#${id}`).inputValue();
    if (picked !== value) throw new Error(`“${words}” picked ${picked || 'nothing'} in ${id}`);
  }

  /** Chooses one of a few answers of the next question: Space takes the first, each arrow the next. */
  async chooses(steps, ofWhat = '') {
    await this.comesTo(`the answers of ${ofWhat || 'the next question'}`, (one) => one.type === 'radio');
    const name = await this.page.evaluate(() => document.activeElement.name);
    if (ofWhat && name !== ofWhat) throw new Error(`the Tab key comes to ${name} before ${ofWhat}`);
    await this.press('Space', ...Array(steps).fill('ArrowDown'));
    const [chosen] = await this.page.locator(`input[name="${name}"]`).evaluateAll((all) => all.flatMap(({ checked }, at) => (checked ? [at] : [])));
    if (chosen !== steps) throw new Error(`answer ${chosen} of ${name} is chosen, not ${steps}`);
  }

  async ticks(id) {
    await this.comesToField(id);
    await this.press('Space');
    if (!(await this.page.locator(`#${id}`).isChecked())) throw new Error(`${id} is not ticked`);
  }

  /** Comes to the page's one button and presses it. */
  async sends() {
    await this.comesTo('the button', (one) => one.matches('form.form button.main'));
    await this.pressesAndGoes('Enter');
  }
}

/** In the page: what has the focus and cannot be seen. A box lies under its label. */
function unseen() {
  const one = document.activeElement;
  if (!one || one === document.body) return false;
  const box = one.getBoundingClientRect();
  const isThere = box.width > 0 && box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth;
  return isThere && one.checkVisibility({ visibilityProperty: true }) ? false : one.outerHTML.slice(0, 120);
}
