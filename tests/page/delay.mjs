// delay.mjs - how long from a frame on the wire to its number drawn. The story itself is the scale, and each frame bears
// a weight of its own, so that the page can tell when it was drawn. Scale, daemon and browser read one clock.
import { createServer } from "node:net";
import { World } from "./world.mjs";

const FRAMES = 400, EVERY_MS = 50;

const frame = (grams) => `ST,+${grams.toFixed(2).padStart(8, "0")}  g\r\n`;

// A scale of our own: `send` writes one frame to whoever listens.
export async function ownScale() {
  const sockets = new Set();
  const server = createServer((socket) => {
    sockets.add(socket.on("error", () => {}));
    socket.on("close", () => sockets.delete(socket)).resume();
    socket.setNoDelay(true);
  });
  await new Promise((done) => server.listen(0, "127.0.0.1", done));
  return { port: server.address().port, send: (grams) => sockets.forEach((s) => s.write(frame(grams))),
    say: (text) => sockets.forEach((s) => s.write(`${text}\r\n`)),
    end: () => { sockets.forEach((s) => s.destroy()); server.close(); } };
}

// The page notes when each weight stood on the screen: the animation frame after it was put there.
function noteDrawn() {
  const { poise } = window, take = poise.takeWeight.bind(poise);
  window.drawn = {};
  poise.takeWeight = (weight) => {
    take(weight);
    requestAnimationFrame(() => { window.drawn[weight.weight_g?.toFixed(2)] ??= performance.timeOrigin + performance.now(); });
  };
}

// The quantiles in words; newest wins, so a frame that was overtaken is not drawn and not counted.
export async function measureDelay(options) {
  const scale = await ownScale();
  const feeding = setInterval(() => scale.send(0), EVERY_MS); // until the page is up
  const w = await World.begin({ ...options, port: scale.port });
  try {
    await w.until(() => window.poise.fresh);
    clearInterval(feeding);
    await w.page.evaluate(noteDrawn);
    const sent = {};
    for (let i = 1; i <= FRAMES; i++) {
      sent[(i / 10).toFixed(2)] = performance.timeOrigin + performance.now();
      scale.send(i / 10);
      await new Promise((done) => setTimeout(done, EVERY_MS)); // the rate of the scale
    }
    const drawn = await w.page.evaluate(() => window.drawn);
    const delays = Object.keys(sent).filter((g) => g in drawn).map((g) => drawn[g] - sent[g]).sort((a, b) => a - b);
    const at = (q) => delays[Math.min(delays.length - 1, Math.floor(q * delays.length))].toFixed(1);
    return `frame to number drawn: p50 ${at(0.5)} ms, p99 ${at(0.99)} ms of ${delays.length} frames (25 wanted)`;
  } finally {
    clearInterval(feeding);
    await w.end();
    scale.end();
  }
}
