// The first figure and text of the address, drawn by the build: up before the module has come.
// The build fills in what it has drawn. A classic script, and the page's first: it waits for
// nothing, and the pieces are fetched beside the module.

(() => {
  const PLACES = __PLACES__;
  const SET = __SET__; // their contents' hash
  const here = document.currentScript.src;
  const PREFIX = 'handstand/1/'; // as crates/app/src/keep/local.rs names what it keeps
  const narrow = matchMedia('(max-width: 760px), (max-height: 500px)'); // the styles' own breakpoint

  /** What a store has under that name; nothing where the browser lends none. */
  const kept = (store, name) => {
    try { return window[store].getItem(PREFIX + name); } catch { return null; }
  };

  // The look, as the session will find it.
  const look = kept('localStorage', 'set/look');
  const slate = look === 'slate' || look === 'blackboard' || (look !== 'paper' && matchMedia('(prefers-color-scheme: dark)').matches);
  const projector = kept('localStorage', 'set/projector') === 'on';
  document.documentElement.dataset.look = slate ? 'slate' : 'paper';
  document.documentElement.dataset.projector = projector ? 'on' : 'off';

  // The first lessons go by their numbers here, as `LessonName` says.
  const NUMBERED = ['carry', 'anchor', 'anchor-together', 'pivot-above', 'side-lean', 'whole-hand', 'roll', 'limits', 'gestures-and-layers'];

  /** The address's name, as `Route::name` has it; none where there is nothing to show. */
  function place() {
    const [what, name, at] = location.hash.replace(/^[#/]+/, '').split('/');
    const lesson = `lesson-${NUMBERED.indexOf(name) + 1 || name}-${at ?? 1}`;
    const slot = what === 'sketch' || what === 'glossary' || what === 'learnt' ? what
      : what === 'hand' ? (PLACES.includes(`hand-${name}`) ? `hand-${name}` : 'hand')
      : what === 'lesson' && /^[a-z0-9-]{1,32}$/.test(name) ? lesson : 'front';
    return PLACES.includes(slot) ? slot : null;
  }

  /** Whether the reader's own work stands at a place, or may: the figure drawn here would be another. */
  async function worked(slot) {
    if (slot === 'front' || slot === 'glossary') return false;
    try {
      if (sessionStorage.getItem(PREFIX + slot) !== null || localStorage.getItem(PREFIX + slot) !== null) return true;
      // What a page had still to say as it went away.
      if (Object.keys(localStorage).some((key) => key.startsWith(`${PREFIX}last/`))) return true;
    } catch { return false; } // denied: nothing is kept
    // Asking for a database that is not there would make one. Older browsers have no list.
    try {
      const all = await indexedDB.databases();
      if (!all.some(({ name }) => name === 'handstand')) return false;
    } catch { /* asked below, then */ }
    return new Promise((tell) => {
      const asked = indexedDB.open('handstand');
      // There is none: nothing is kept, and none is made.
      asked.onupgradeneeded = () => asked.transaction.abort();
      asked.onerror = (event) => {
        event.preventDefault();
        tell(asked.error?.name !== 'AbortError');
      };
      asked.onsuccess = () => {
        const database = asked.result;
        database.onversionchange = () => database.close();
        try {
          const count = database.transaction('kept').objectStore('kept').count(slot);
          count.onsuccess = () => { tell(count.result > 0); database.close(); };
          count.onerror = () => { tell(true); database.close(); };
        } catch { tell(true); database.close(); }
      };
    }).catch(() => false); // there is no database to open
  }

  /** Frames the figure as `workbook::scene::Frame` does, whatever the plate's size is. */
  function frame(figure) {
    const { clientWidth: width, clientHeight: height } = figure.parentElement;
    const [drawnWidth, drawnHeight] = figure.dataset.size.split(' ').map(Number);
    if (!width || !height) return;
    if (!figure.dataset.fit) {
      figure.setAttribute('viewBox', `${(drawnWidth - width) / 2} ${(drawnHeight - height) / 2} ${width} ${height}`);
      return;
    }
    const [wideLeft, wideTop, wideFoot, x0, y0, x1, y1, most] = figure.dataset.fit.split(' ').map(Number);
    const text = parseFloat(getComputedStyle(document.documentElement).fontSize) / 16;
    const [keptLeft, keptTop, foot] = width < 600 * text ? [0, 40, 56] : [wideLeft, wideTop, wideFoot];
    const left = Math.min(keptLeft * text, width * 0.3);
    const top = Math.min(keptTop * text, height * 0.36);
    const free = [width - left, height - top - foot];
    const margin = Math.min(Math.max(18, Math.min(60, 0.09 * Math.min(width, height))), Math.min(...free) / 4);
    const scale = Math.min(most, (free[0] - 2 * margin) / (x1 - x0), (free[1] - 2 * margin) / (y1 - y0));
    const x = (x0 + x1) / 2 - (left + free[0] / 2) / scale;
    const y = (y0 + y1) / 2 - (top + free[1] / 2) / scale;
    figure.setAttribute('viewBox', `${x} ${y} ${width / scale} ${height / scale}`);
  }

  /** Turns the hand page to the face that this tab has it at; whether that is the one drawn. */
  function turn(shell) {
    const face = kept('sessionStorage', 'set/face');
    const known = [...shell.querySelectorAll('[data-face]')].some((part) => part.dataset.face === face);
    if (!known || face === 'press') return true;
    for (const part of shell.querySelectorAll('[data-face]')) part.hidden = part.dataset.face !== face;
    for (const corner of shell.querySelectorAll('[data-corner]')) corner.setAttribute('aria-selected', corner.dataset.corner === face);
    return false;
  }

  /** Ticks off what is done, as the page will. */
  function tick(shell) {
    const done = (kept('localStorage', 'set/done') ?? '').split(/\s+/);
    for (const step of shell.querySelectorAll('[data-slot]')) {
      if (!done.includes(step.dataset.slot)) continue;
      step.classList.add('done');
      step.querySelector('.tick').textContent = 'done';
    }
    const steps = (of) => done.filter((slot) => slot.startsWith(of)).length;
    for (const leaf of shell.querySelectorAll('[data-lesson]')) leaf.classList.toggle('done', steps(leaf.dataset.lesson) > 0);
    for (const entry of shell.querySelectorAll('[data-steps]')) {
      const count = steps(entry.dataset.steps);
      if (count) entry.querySelector('.tick').textContent = `${count} of ${entry.dataset.of} steps done`;
    }
  }

  const parsed = new Promise((resolve) => {
    // Not DOMContentLoaded, which waits for the module.
    if (document.readyState !== 'loading') resolve();
    else document.addEventListener('readystatechange', () => resolve(), { once: true });
  });

  /** Leaves a mark once the frame that shows it is done, for `cargo xtask bench`. */
  const mark = (what) => requestAnimationFrame(() => setTimeout(() => performance.mark(what)));

  // What only some pages need of the module, asked for beside the rest of it.
  const PARTS = { hand: "./split_hand.wasm", sketch: "./split_sketch.wasm" };
  const part = PARTS[location.hash.replace(/^[#/]+/, '').split('/')[0]];
  if (part) document.head.append(Object.assign(document.createElement('link'), {
    rel: 'preload', as: 'fetch', type: 'application/wasm', crossOrigin: '', href: new URL(part, here),
  }));

  let shown = null;
  async function paint() {
    const slot = place();
    shown = slot;
    if (!slot) return;
    const file = new URL(`./first/${slot}-${narrow.matches ? 'narrow' : 'wide'}-${SET}.html`, here);
    const own = worked(slot);
    const reply = await fetch(file).catch(() => null);
    const piece = reply?.ok ? await reply.text() : null;
    await parsed;
    const shell = document.getElementById('shell');
    // The page may have come first, or the reader gone on.
    if (piece === null || !shell || shell.inert || document.querySelector('body > .top') || shown !== slot) return;
    shell.classList.add('painted', 'bare');
    for (const old of shell.querySelectorAll(':scope > :not(.shell-words)')) old.remove();
    shell.insertAdjacentHTML('afterbegin', piece);
    tick(shell);
    const drawn = turn(shell);
    const now = shell.querySelector('.box.now[data-slot]');
    const page = now?.closest('.page');
    // As the page does: later steps lie below the fold. Again when it is laid out anew, for the styles
    // may come after it; what the reader has scrolled is theirs.
    if (page && !narrow.matches && !slot.endsWith('-1')) {
      let put = page.scrollTop;
      const sight = new ResizeObserver(() => {
        if (page.scrollTop !== put) return;
        page.scrollTop += now.getBoundingClientRect().top - page.getBoundingClientRect().top;
        put = page.scrollTop;
        page.dataset.put = put;
      });
      for (const box of [page, now]) sight.observe(box);
    }
    const figure = shell.querySelector('.first-figure');
    if (figure) new ResizeObserver(() => frame(figure)).observe(figure.parentElement);
    mark('text-painted');
    // Nothing false may stand: work of the reader's own leaves the text alone until it is read. On a
    // projector lines and type are heavier than those drawn here.
    if (await own || projector || !drawn) return;
    shell.classList.remove('bare');
    mark('figure-painted');
  }

  paint();
  // The links are links already.
  addEventListener('hashchange', () => { if (!document.querySelector('body > .top')) paint(); });
})();
