// The worker that surveys: takes orders from the page, works at them a slice at a time, and answers.

import init, { Bench } from "./worker.js";

const FIRST = 4; // ms: something to see before newer orders are looked at
const SLICE = 12; // ms: how long a newer order waits at most, but for work that is not parted
const PACE = 60; // ms: between what is told of unfinished work, which the page draws each time

/** The page is told why, then this ends: it starts another when asked to. */
function fail(why) {
  postMessage([null, String(why)]);
  close();
}

const bench = init({ module_or_path: new URL("./worker_bg.wasm", import.meta.url) }).then(() => new Bench());
bench.catch(fail);

// Messages to oneself stand behind the page's, and unlike timers are not made to wait.
const turn = new MessageChannel();
let working = false;
let slice = FIRST;
let told = -Infinity;

onmessage = async ({ data }) => {
  try {
    (await bench).take(data);
    slice = FIRST;
    if (!working) turn.port2.postMessage(null);
    working = true;
  } catch (why) {
    fail(why);
  }
};

turn.port1.onmessage = async () => {
  try {
    const reply = (await bench).step(slice, performance.now() - told >= PACE);
    slice = SLICE;
    working = reply !== undefined;
    if (!working) return;
    if (reply.length) {
      told = performance.now();
      postMessage(reply, reply.slice(1).map((numbers) => numbers.buffer));
    }
    turn.port2.postMessage(null);
  } catch (why) {
    fail(why);
  }
};
