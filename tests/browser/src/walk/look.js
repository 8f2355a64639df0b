// Put into the page by the random walk: what can be acted upon, and what must never be seen.
window.walk ??= (() => {
  const heard = [];
  const hear = (kind, said) => heard.length < 50 && heard.push({ kind, said: String(said).slice(0, 400) });

  // A canvas passes over numbers that are none, so a spoiled figure is seen here alone.
  const canvas = CanvasRenderingContext2D.prototype;
  for (const name of ['moveTo', 'lineTo', 'bezierCurveTo', 'arc', 'rect', 'fillRect', 'fillText', 'translate', 'rotate', 'scale', 'setTransform']) {
    const own = canvas[name];
    canvas[name] = function (...given) {
      for (const n of given) if (typeof n === 'number' && !Number.isFinite(n)) hear('senseless', `canvas ${name}(${given})`);
      return own.apply(this, given);
    };
  }

  // Nothing but this site may be asked for anything.
  const foreign = (address) => /^(https?|wss?):/.test(address) && new URL(address).host !== location.host;
  new PerformanceObserver((list) => {
    for (const { name } of list.getEntries()) if (foreign(name)) hear('foreign', name);
  }).observe({ type: 'resource', buffered: true });
  addEventListener('securitypolicyviolation', (e) => hear('foreign', `${e.violatedDirective} refused ${e.blockedURI}`));

  // A system's file dialog would never be closed, and downloads are for nobody.
  const harmless = (e) => e.matches?.('input[type=file], a[download]') || e.closest?.('label')?.querySelector('input[type=file]');
  addEventListener('click', (e) => harmless(e.target) && e.preventDefault(), true);
  const click = HTMLElement.prototype.click;
  HTMLElement.prototype.click = function () { harmless(this) || click.call(this); };

  const kinds = {
    button: 'button:not(.handle, .bead), summary, input[type=checkbox], input[type=radio]',
    link: 'a[href^="#"]',
    field: 'input[type=text], input[type=number], textarea',
    list: 'select',
    slider: 'input[type=range]',
    handle: '.handle',
    bead: '.bead',
    sheet: 'canvas',
  };

  function nameOf(e) {
    if (e.dataset.node) return e.dataset.node;
    if (e.localName === 'canvas') return e.closest('section[aria-label]')?.getAttribute('aria-label') ?? e.parentElement.className;
    // Not by `e.labels`: WebKitGTK 2.50 aborts when it collects such a list after its page has gone.
    const label = e.closest('label') ?? (e.id ? document.querySelector(`label[for="${CSS.escape(e.id)}"]`) : null);
    const spoken = e.getAttribute('aria-label') ?? label?.innerText ?? e.innerText;
    // A handle speaks its value after its name.
    return spoken.split('. ')[0].replace(/\s+/g, ' ').trim().slice(0, 60);
  }

  const open = (e) => !e.disabled && !e.closest('[inert]') && !harmless(e) && e.checkVisibility({ visibilityProperty: true }) && e.getClientRects().length > 0;

  /** Everything of a kind that can be acted upon, by a name that is the same on another day. */
  function all(kind) {
    const times = new Map();
    return [...document.querySelectorAll(kinds[kind])].filter(open).map((e) => {
      const name = `${kind} “${nameOf(e)}”`;
      const nth = (times.get(name) ?? 0) + 1;
      times.set(name, nth);
      return [nth > 1 ? `${name} ${nth}` : name, e];
    });
  }

  function senseless() {
    const none = /NaN|Infinity|undefined|\[object/;
    // Looked for by itself: with what stands before it in the pattern each act would take the
    // better part of a second.
    const html = document.body.outerHTML;
    const at = html.search(none);
    if (at >= 0) hear('senseless', html.slice(Math.max(0, at - 80), at + 50));
    for (const e of document.querySelectorAll('input, output, textarea')) if (none.test(e.value)) hear('senseless', `${nameOf(e)} shows ${e.value}`);
  }

  const undo = (word) => [...document.querySelectorAll('button')].find((e) => e.innerText.trim() === word);

  return {
    /** What is there now. */
    look() {
      senseless();
      return {
        hash: location.hash,
        focus: document.activeElement?.localName ?? '',
        stopped: document.querySelector('.alarm code')?.textContent ?? null,
        faults: heard.splice(0),
        targets: Object.keys(kinds).flatMap((kind) => all(kind).map(([name]) => [kind, name])),
      };
    },
    /** Brings a target into sight; where it is, or null when it is not there or covered. */
    place(name) {
      const found = all(name.split(' ')[0]).find(([n]) => n === name)?.[1];
      if (!found) return null;
      found.scrollIntoView({ block: 'nearest', inline: 'nearest', behavior: 'instant' });
      const { x, y, width, height } = found.getBoundingClientRect();
      const top = document.elementFromPoint(x + width / 2, y + height / 2);
      const free = found.contains(top) || top?.contains(found) || (found.matches('.handle, canvas') && top?.closest('.plate, .map-sheet'));
      if (!free) return null;
      const part = found.type === 'range' ? (found.value - found.min) / (found.max - found.min) : 0.5;
      return { x, y, width, height, part: Number.isFinite(part) ? part : 0.5, window: [innerWidth, innerHeight] };
    },
    /** Selects what a field holds, so that typing replaces it; what it held. */
    take(name) {
      const field = all('field').find(([n]) => n === name)?.[1];
      field?.focus();
      field?.select();
      return field?.value ?? null;
    },
    /** Chooses from a list: its own menu belongs to the system. */
    choose(name, nth) {
      const list = all('list').find(([n]) => n === name)?.[1];
      if (!list?.options.length) return null;
      list.focus();
      list.selectedIndex = nth % list.options.length;
      for (const kind of ['input', 'change']) list.dispatchEvent(new Event(kind, { bubbles: true }));
      return 0;
    },
    /** Leaves the field, which hands in what was typed. */
    leave() {
      document.activeElement?.blur();
      return 0;
    },
    can: (word) => undo(word)?.disabled === false,
    there: () => document.readyState === 'complete' && !document.querySelector('#shell') &&
      (!/^#\/lesson\/[1-8](\/|$)/.test(location.hash) || !!document.querySelector('.box.now .actions, .alarm')),
  };
})();
0
