// Finds pages by following links, as one role, without drawing them. It knows no page by name but the steps of
// registering, which are reached only by answering.

/** How many addresses of one route are opened. */
const EACH = 8;

/** The route table as the written matrix has it: the lines that show something, and the roles. */
export function routesOf(matrix) {
  const [head, ...lines] = matrix.split('\n').filter((line) => /^(verb|GET|POST) /.test(line));
  const roles = head.trim().split(/\s+/).slice(2);
  const all = lines.map((line) => {
    const [verb, path, ...open] = line.trim().split(/\s+/);
    return { verb, path, roles: roles.filter((_, at) => open[at] === 'yes') };
  });
  return { roles, gets: all.filter((route) => route.verb === 'GET'), posts: all.filter((route) => route.verb === 'POST') };
}

function routeAt(routes, address) {
  const pieces = address.split(/[?#]/)[0].split('/');
  const fits = ({ path }) => {
    const pattern = path.split('/');
    if (path.includes(':.*')) return pieces.length >= pattern.length && pattern.slice(0, 2).join() === pieces.slice(0, 2).join();
    return pattern.length === pieces.length && pattern.every((piece, at) => (piece.startsWith('{') ? pieces[at] !== '' : piece === pieces[at]));
  };
  return routes.find(fits);
}

/** What one role comes to. */
export class Found {
  constructor(routes, role, request) {
    Object.assign(this, { routes, role, request, pages: new Map(), forms: new Map(), seen: new Set() });
    this.queue = routes.gets.filter(({ path, roles }) => roles.includes(role) && !path.includes('{')).map(({ path }) => path);
  }

  /** Opens all that is queued, and what that leads to. */
  async everything() {
    while (this.queue.length) await this.open(this.queue.shift());
  }

  async open(address) {
    const route = routeAt(this.routes.gets, address);
    if (!route || !route.roles.includes(this.role) || this.seen.has(address)) return;
    this.seen.add(address);
    const samples = this.pages.get(route.path) ?? [];
    if (samples.length >= EACH) return;
    const answer = await this.request.get(address);
    if (answer.status() !== 200) return;
    const isPage = (answer.headers()['content-type'] ?? '').startsWith('text/html');
    const html = isPage ? await answer.text() : '';
    // Where a page led on, it is the page of the other address.
    const landed = new URL(answer.url()).pathname === address.split('?')[0] ? route : routeAt(this.routes.gets, new URL(answer.url()).pathname);
    if (landed?.path !== route.path) return void this.queue.push(new URL(answer.url()).pathname);
    this.pages.set(route.path, [...samples, { address, html }]);
    if (isPage) this.read(address, html);
  }

  read(address, html) {
    for (const [, href] of html.matchAll(/ href="([^"]*)/g)) {
      const way = href.replaceAll('&amp;', '&').replaceAll('&#38;', '&').split('#')[0];
      if (way.startsWith('/') && !/[?&](lang|scheme)=/.test(way)) this.queue.push(way);
    }
    for (const [, head, body] of html.matchAll(/<form([^>]*)>([\s\S]*?)<\/form>/g)) {
      const action = / action="([^"]*)"/.exec(head)?.[1];
      const route = action && routeAt(this.routes.posts, action);
      const asks = /<(select|textarea)|type="(text|email|tel|password|radio|checkbox)"/.test(body);
      if (!route || !asks || !/method="post"/.test(head)) continue;
      const names = [...new Set([...body.matchAll(/<(?:input|select|textarea|button)[^>]* name="([^"]+)"/g)].map(([, name]) => name))].join(' ');
      const shape = `${route.path} ${names.replace(/_[a-z0-9]{13}\b/g, '')}`;
      if (!this.forms.has(shape)) this.forms.set(shape, { path: route.path, page: address, action, names });
    }
  }
}

/** Answers the steps of registering a child, up to the last, in a session that takes the child; the address of the last. */
export async function registerAsFarAsTheLastStep(request, found) {
  const year = new Date().getFullYear();
  const adult = { given: 'Ingrid', family: 'Lindqvist', phone: '(406) 555-0118', email: `ingrid.${Math.random().toString(36).slice(2)}@example.org` };
  const others = { first_name: 'Chidi Okafor', first_phone: '406.555.0163', second_name: 'Signe Lindqvist', second_phone: '406 555 0164' };
  const steps = (born) => ({
    // A name that means something to HTML, so that a page that lets it act is seen to.
    rider: { given: 'Zoë "><img src=x onerror=alert(1)>', family: 'Okafor-Lindqvist', birth_month: '3', birth_day: '21', birth_year: String(born), county: '30049', ridden: 'few' },
    health: { any: 'yes', allergy: 'yes', allergy_what: 'bee stings', injector: 'yes', injector_where: 'red bag', medicine: 'unknown' },
    adults: { ...adult, ...others, password: 'lantern under seven larches' },
    sizes: { units: 'us', height: '4 ft 4', weight: '63', inseam: '23 5/8', head_unknown: 'yes' },
    questions: {},
  });
  const sessions = found.pages.get('/sessions/{reference}') ?? [];
  const told = [];
  for (const { address } of sessions) {
    for (const born of [year - 8, year - 12]) {
      let way = `${address}/register/rider`;
      for (const [step, answers] of Object.entries(steps(born))) {
        const form_token = / name="form_token" value="([^"]*)"/.exec(await (await request.get(way)).text())?.[1];
        const headers = { 'sec-fetch-site': 'same-origin' };
        const answer = await request.post(`${address}/register/${step}`, { form: { form_token, ...answers }, headers, maxRedirects: 0 });
        if (answer.status() !== 303) {
          const said = (await answer.text()).match(/role="alert"[\s\S]*?<\/div>|<h1>[\s\S]*?<p/)?.[0].replace(/<[^>]*>|\s+/g, ' ');
          told.push(`${step}, born ${born}: ${answer.status()} ${said}`);
          break;
        }
        way = answer.headers().location;
        found.queue.push(way);
      }
      if (way.endsWith('/check')) return way;
    }
  }
  throw new Error(`no session takes a child: ${told.join('; ')}`);
}
