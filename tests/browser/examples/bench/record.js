// From now on `window.painted` is what was painted last on the plate from its ground up: for each
// path and text its segments and all that was set. Only read, so the picture stays the same.
(() => {
  const proto = CanvasRenderingContext2D.prototype;
  const segments = { moveTo: 0, lineTo: 1, bezierCurveTo: 2, closePath: 3 };
  let path = [];
  let shared = false;
  window.painted = [];
  const around = (name, record) => {
    const own = proto[name];
    proto[name] = function (...args) {
      if (this.canvas.closest('.plate')) record(this, args);
      return own.apply(this, args);
    };
  };
  around('beginPath', () => { path = []; shared = false; });
  for (const [name, code] of Object.entries(segments)) around(name, (_, args) => path.push(code, ...args));
  const paint = (c, act, args) => {
    const { a, b, c: skew, d, e, f } = c.getTransform();
    const style = (style) => typeof style === 'string' ? style : null;
    painted.push({
      act, args,
      // Null: the path before, which is painted once more.
      path: act === 'fillText' || act === 'fillRect' || shared ? null : path,
      at: [a, b, skew, d, e, f],
      set: {
        fillStyle: style(c.fillStyle), strokeStyle: style(c.strokeStyle), lineWidth: c.lineWidth, lineCap: c.lineCap,
        lineJoin: c.lineJoin, globalAlpha: c.globalAlpha, font: c.font, textAlign: c.textAlign,
      },
      dash: c.getLineDash(),
    });
    shared ||= act === 'fill' || act === 'stroke';
  };
  around('fillRect', () => { painted = []; });
  for (const act of ['fillRect', 'fill', 'stroke', 'fillText']) around(act, (c, args) => paint(c, act, args));
})()
