// A family registers a child, step by step, in whatever language: fields are found by their names.

/** Whom a story registers, and by whom. */
export function family(child, { name = 'Holt-Núñez', by = 'Maren', email, phone = '406 555 0177', ...more }) {
  return { child: { given: child, family: name }, adult: { given: by, family: name, email, phone }, signer: `${by} ${name}`, ...more };
}

/** A child who is here already, registered by the adult who is signed in. */
export const known = (signer, more = {}) => ({ signer, ...more });

/** Words of the family in each field of a step that is typed into. */
const typed = {
  rider: ({ child }) => (child ? { ...child, birth_day: '14', birth_year: String(new Date().getFullYear() - 12) } : {}),
  health: () => ({}),
  adults: ({ adult }) => ({
    ...(adult ? { ...adult, password: 'nine pines on the ridge' } : {}),
    first_name: 'Otis Brandt', first_phone: '406 555 0178', second_name: 'Ruth Haugen', second_phone: '406 555 0179',
  }),
  sizes: () => ({ height: '4 ft 10', weight: '84', inseam: '27' }),
  questions: () => ({}),
  check: ({ signer }) => ({ signature: signer }),
};

/** What is chosen from answers in sight, by the name of the question. */
const chosen = {
  rider: () => ({ ridden: 'never' }),
  health: ({ keep }) => ({ any: 'no', injector: 'no', medicine: 'no', ...(keep ? { keep: 'yes' } : {}) }),
  adults: () => ({}),
  sizes: () => ({ head_unknown: 'yes' }),
  questions: () => ({}),
  check: () => ({}),
};

/** Answers the step that is open, and sends nothing. */
export async function answers(person, step, whose) {
  const { page } = person;
  for (const [name, value] of Object.entries(typed[step](whose))) await page.locator(`#${name}`).fill(value);
  for (const [name, value] of Object.entries(chosen[step](whose))) await chooses(page, page.locator(`input[name="${name}"][value="${value}"]`));
  if (step === 'rider' && !whose.child) await chooses(page, page.locator('input[name=known]').first());
  if (step === 'rider' && whose.child) {
    await page.locator('#birth_month').selectOption('3');
    await page.locator('#county').selectOption({ index: 12 });
  }
  if (step === 'check') {
    for (const clause of await page.locator('input[name^="ride-"]').all()) await chooses(page, clause);
    const proof = page.locator('input[name=proof]').last();
    if (await proof.count()) await chooses(page, proof);
  }
}

/** The label lies over its box, as it does under a thumb. */
async function chooses(page, box) {
  if (!(await box.isChecked())) await page.locator(`label[for="${await box.getAttribute('id')}"]`).click();
}

/** The page's one button, and the page after it. */
export async function goesOn(person) {
  await Promise.all([person.page.waitForNavigation(), person.page.locator('form.form button.main').last().click()]);
}

/** The step that is open, or nothing on another page. */
export const openStep = (person) => /\/register\/([a-z]+)$/.exec(new URL(person.page.url()).pathname)?.[1];

/** A child from the first step to the receipt, whose way it gives. `at` is told each step before it is answered. */
export async function registers(person, session, whose, at = async () => {}) {
  await person.opens(`${session}/register`);
  for (let step = openStep(person), last; step; last = step, step = openStep(person)) {
    if (step === last) throw new Error(`${step} came back: ${await person.page.locator('.errors').innerText()}`);
    if ((await at(step)) === 'answered') continue;
    await answers(person, step, whose);
    await goesOn(person);
  }
  return new URL(person.page.url()).pathname;
}

/** Sessions that take children of twelve and have seats, by their ways, latest first. */
export async function freeSessions(person) {
  await person.opens('/sessions?lang=en');
  const entries = await person.page.locator('.entry').evaluateAll((all) =>
    all.map((one) => ({ words: one.innerText, way: one.querySelector('h3 a')?.getAttribute('href') })),
  );
  return entries.filter(({ words }) => /ages 10 to 15/i.test(words) && /[2-9] seats free/.test(words)).map(({ way }) => way).reverse();
}
