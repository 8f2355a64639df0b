// In a page with nothing else: a canvas as large as the plate's, on which the same shapes are painted
// in every frame by the plainest loop: `window.replay` does it so often, and gives each frame's
// milliseconds.
(painted, width, height) => {
  const canvas = Object.assign(document.createElement('canvas'), { width, height });
  document.body.replaceChildren(canvas);
  const c = canvas.getContext('2d');
  // What is set here once is set in no frame again, unless it changes in it.
  const now = {};
  const set = (name, value) => { if (now[name] !== value) c[name] = now[name] = value; };
  const tile = Object.assign(document.createElement('canvas'), { width: 11, height: 11 });
  const hatch = c.createPattern(tile, 'repeat');
  const lists = painted.map((shape) => ({
    ...shape,
    path: shape.path && new Float64Array(shape.path),
    set: Object.entries(shape.set).map(([name, value]) => [name, value ?? hatch]),
    dashes: shape.dash.join(),
    place: shape.at.join(),
  }));
  const trace = (path) => {
    c.beginPath();
    for (let i = 0; i < path.length;) {
      switch (path[i++]) {
        case 0: c.moveTo(path[i++], path[i++]); break;
        case 1: c.lineTo(path[i++], path[i++]); break;
        case 2: c.bezierCurveTo(path[i++], path[i++], path[i++], path[i++], path[i++], path[i++]); break;
        case 3: c.closePath(); break;
      }
    }
  };
  const paint = () => {
    for (const shape of lists) {
      if (now.place !== shape.place) c.setTransform(...shape.at), now.place = shape.place;
      if (now.dashes !== shape.dashes) c.setLineDash(shape.dash), now.dashes = shape.dashes;
      for (const [name, value] of shape.set) set(name, value);
      if (shape.path) trace(shape.path);
      c[shape.act](...shape.args);
    }
  };
  window.replay = (frames) => new Promise((done) => {
    const took = [];
    requestAnimationFrame(function next() {
      const began = performance.now();
      paint();
      took.push(performance.now() - began);
      if (took.length < frames) requestAnimationFrame(next);
      else requestAnimationFrame(() => done(took));
    });
  });
}
