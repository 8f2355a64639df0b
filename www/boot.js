// Starts the app, says so in plain words when that fails, and keeps the page for use without a network.

const heard = new Set();

/** Shows a notice that cannot be missed, over whatever the page shows. */
function alarm(title, text, action, details) {
  if (heard.size && document.querySelector('.alarm')) return; // the first failure is the one that explains
  heard.add(title);
  const make = (tag, content) => Object.assign(document.createElement(tag), { textContent: content });
  const card = Object.assign(document.createElement('div'), { className: 'alarm-card' });
  card.setAttribute('role', 'alert');
  const button = make('button', action);
  button.type = 'button';
  button.addEventListener('click', () => location.reload());
  const more = document.createElement('details');
  more.append(make('summary', 'What the program said'), make('code', String(details)));
  const veil = Object.assign(document.createElement('div'), { className: 'alarm' });
  veil.append(card);
  document.body.append(veil);
  // Filled after it is in the page, so that screen readers speak it.
  card.append(make('h2', title), make('p', text), button, more);
  for (const other of document.body.children) other.inert = other !== veil;
  button.focus();
}

const stopped = (said) => alarm(
  'Handstand has stopped',
  'A mistake in the program stopped it. Your saved work is safe in this browser; at most the very last change is missing.',
  'Reopen the last saved state',
  said,
);

/** The app's panic hook calls this: the program has stopped and answers no more. */
window.handstandPanic = stopped;

// Out of memory, out of stack, a fault of the browser's own: these end the program where it is without
// a panic, and whatever it had locked stays locked. What it stops over later would explain nothing.
const ends = ['RuntimeError', 'RangeError', 'InternalError'];
addEventListener('error', ({ error }) => ends.includes(error?.name) && stopped(error));
addEventListener('unhandledrejection', ({ reason }) => ends.includes(reason?.name) && stopped(reason));

/** The app calls this on pages that survey: a worker of its own, at the name this build gave it. */
window.handstandSurveyor = () => new Worker(new URL("./survey.js", import.meta.url), { type: 'module' });

async function start() {
  if (typeof WebAssembly !== 'object') throw new Error('This browser has no WebAssembly, or it is switched off.');
  const { default: init } = await import("./app.js");
  await init({ module_or_path: new URL("./app_bg.wasm", import.meta.url) });
  await leave(document.getElementById('shell'));
}

/** Takes the shell away. What is painted on it covers the page until that has drawn its figure. */
async function leave(shell) {
  if (!shell?.classList.contains('painted')) return shell?.remove();
  // From here on keys and screen readers have the page itself alone.
  shell.inert = true;
  const own = (what) => document.querySelector(`body > ${what}`);
  // A part of the module that the page needs may still be on its way.
  const drawn = () => !own('.page > .coming') && (!own('.bench') || performance.getEntriesByName('figure-drawn').length > 0);
  // The lessons' list comes after the page, and makes its top line higher.
  const whole = () => own('.top nav .leaf:not(.wide)') && drawn();
  const until = performance.now() + 10000; // ms: a page that draws nothing may have another reason
  while (!whole() && !document.querySelector('.notice') && performance.now() < until) await new Promise(requestAnimationFrame);
  // The frame that shows it, and how far the reader has scrolled meanwhile.
  await new Promise(requestAnimationFrame);
  const kept = [[shell, document.scrollingElement], [shell.querySelector('.page'), own('.bench .page')]].map(([painted, page]) => ({ page, at: painted?.scrollTop ?? 0, put: Number(painted?.dataset.put ?? 0) }));
  shell.remove();
  // The page has brought the present step into sight itself: only the reader's own scrolling goes on.
  for (const { page, at, put } of kept) {
    if (page && at !== put) page.scrollTop = at;
  }
}

start().catch((error) => alarm(
  'Handstand could not start',
  'It needs a current browser with WebAssembly allowed, and a connection the first time. Nothing you saved is lost.',
  'Try again',
  error,
)).then(() => {
  // After the start, so that filling the cache never delays the first figure.
  if ('serviceWorker' in navigator && !new URLSearchParams(location.search).has('nosw')) {
    // A page opened from a file or in a private window may refuse; it then works with a network only.
    navigator.serviceWorker.register(new URL('./sw.js', import.meta.url)).catch(() => {});
  }
});
