// wall.mjs - the whole shop on one page: eight benches, each in another state, as a foreman sees them from afar.
import assert from "node:assert/strict";
import { accessible } from "./hands.mjs";
import { keep, sizes } from "./states.mjs";

const names = ["pouring", "over", "silent", "hardened", "waiting", "lifted", "gone"];
const colour = { formula: "TI-118", coat: "base", variant: "standard", grams: 100, painter: "Νικόλαος Παπαδόπουλος" };
const TRIES = 100;

// The line of a bench, once it reads so.
async function reads(w, name, pattern) {
  await w.until(([n, p]) => [...document.querySelectorAll(".post")].some((post) => post.firstChild.textContent === n
    && new RegExp(p).test(post.innerText.replace(/\s+/g, " "))), [name, pattern.source]);
}

// What is done at a bench whose own page is not open.
function benchOf(w, station) {
  let n = 0;
  const at = () => w.call("watch", { station });
  const accept = async () => {
    for (let tries = 0; ; tries++) {
      const { revision } = await at();
      const refused = await w.call("batch.accept", { station, revision, request: `${station}${n++}` }).then(() => null, (e) => e);
      if (!refused) return;
      if (tries === TRIES) throw refused;
      await w.page.evaluate(() => new Promise((done) => { setTimeout(done, 100); })); // the weight may still be on its way
    }
  };
  return { at,
    begin: (what) => w.call("batch.begin", { station, request: `${station}-begin`, ...what }),
    async cup() {
      w.hand("cup 31.2", station);
      await accept();
    },
    async pour(extra = 0) {
      const { now } = await at();
      w.hand(`pour ${(now.to_go_g + extra).toFixed(2)} 300`, station);
      await accept();
    } };
}

// Each bench into its state; the page is the wall already.
async function allAtWork(w) {
  const bench = Object.fromEntries(names.map((name) => [name, benchOf(w, name)]));
  await bench.pouring.begin({ ...colour, grams: 9999.99 });
  await bench.over.begin(colour);
  await bench.silent.begin(colour);
  await bench.lifted.begin(colour);
  await bench.waiting.begin({ ...colour, painter: "a painter whose name is as long as any name may be, sixty" });
  await bench.hardened.begin({ product: "CLEAR-40", ml: 100 });
  for (const name of ["pouring", "over", "silent", "lifted", "hardened"]) await bench[name].cup();
  await bench.over.pour();
  await bench.over.pour(20);
  while ((await bench.hardened.at()).state === "pour") await bench.hardened.pour();
  w.hand("pour 20 300", "lifted");
  await reads(w, "lifted", /B10 \d\d[.,]\d\d g/);
  w.hand("lift", "lifted");
  w.hand("mute", "silent");
  w.sims.gone.kill("SIGTERM");
}

// Whatever is cut, and lines that only scrolling would show where there is room for all.
const faults = (w) => w.page.evaluate(() => {
  const cut = [...document.querySelectorAll(".post > :not(.who)")].filter((e) => e.scrollWidth > e.clientWidth + 1).map((e) => e.textContent);
  const wall = document.querySelector(".wall"), below = innerWidth > innerHeight && wall.scrollHeight > wall.clientHeight + 1;
  return [...cut, ...(below ? ["a bench is below the page"] : []), ...(document.documentElement.scrollWidth > innerWidth ? ["beyond the edge"] : [])];
});

export const wallStories = (inWorld) => ({
  "the wall: eight benches at once, each with what it needs": (options) => inWorld({ ...options, benches: names }, async (w) => {
    await w.page.goto(`${w.url}shop`);
    await w.shows(".post");
    await allAtWork(w);
    await reads(w, "bench", /^bench \S+ /);
    await reads(w, "pouring", /B10 \d{4}[.,]\d\d g/);
    await reads(w, "over", /S42 20[.,]00 g/);
    await reads(w, "hardened", /CLEAR-40 .* 8\d min/);
    await w.until(() => document.querySelectorAll(".state .over").length === 2); // silent, gone
    const lifted = await w.page.evaluate(() => [...document.querySelectorAll(".post")].find((p) => p.firstChild.textContent === "lifted").innerText);
    assert.doesNotMatch(lifted, /\d[.,]\d\d/, "a cup that is off has nothing to go");
    for (const size of sizes) for (const [language, night, wide] of [["en", false, false], ["de", true, true]]) {
      await w.wear({ size, night, language, wide });
      await w.shows(".post");
      assert.deepEqual(await faults(w), [], `${size.width}x${size.height} ${language}`);
      if (!wide && [sizes[0], sizes[3]].includes(size)) await keep(w, "wall", size);
      if (!wide) await accessible(w, `the wall ${size.width}x${size.height}`);
    }
    await w.kill();
    await w.until(() => document.querySelectorAll(".state .over").length === document.querySelectorAll(".post").length);
    await w.start();
    await w.until(() => document.querySelectorAll(".state .over").length === 2);
  }),
});
