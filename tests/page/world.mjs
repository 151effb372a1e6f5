// world.mjs - a shop of one bench for one story: poised, a simulated scale whose hand is ours, and a browser page.
import { execFileSync, spawn } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { createInterface } from "node:readline";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";

const build = process.env.POISE_BUILD, tree = process.env.POISE_TREE;
export const WAIT_MS = 20000;

// The first line of a program's stdout that fits; fails when it ends before.
function lineOf(child, pattern) {
  return new Promise((done, fail) => {
    createInterface({ input: child.stdout }).on("line", (line) => { const m = pattern.exec(line); if (m) done(m); });
    child.once("exit", (code) => fail(new Error(`${child.spawnfile} ended with ${code}`)));
  });
}

export class World {
  // size: {width, height}; touch: a tablet without a keyboard; night: dark paper.
  // port: of a scale that the story plays itself; benches: names of further ones, each with a simulated scale; disk: one that can go bad (`w.disk` tells it how).
  static async begin({ language = "en", size = { width: 1280, height: 800 }, touch = false, night = false, lines = "", port = 0,
    disk = false, benches = [] } = {}) {
    const w = new World();
    w.dir = mkdtempSync(join(tmpdir(), "poise-page-"));
    w.sims = {};
    const simulated = await w.scaleOf("bench");
    for (const name of benches) lines += `[station ${name}]\nport = tcp:127.0.0.1:${await w.scaleOf(name)}\nprofile = hdr2\nd_g = 0.01
capacity_g = 12000\ntolerance_g = 0.05\n`;
    if (disk) w.badDisk();
    writeFileSync(join(w.dir, "printer"), "exit 0\n");
    writeFileSync(join(w.dir, "poised.ini"), `[shop]
name = Tern Island Coachworks
language = ${language}
currency = EUR
data = ${tree}/formulas
[station bench]
port = tcp:127.0.0.1:${port || simulated}
profile = hdr2
d_g = 0.01
capacity_g = 3000
tolerance_g = 0.05
[print]
command = sh ${w.dir}/printer
${lines}`);
    w.http = 0;
    await w.start();
    w.browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox"] });
    w.context = await w.browser.newContext({ viewport: size, hasTouch: touch });
    await w.context.addInitScript((paper) => localStorage.setItem("poise", JSON.stringify({ paper, volume: 0 })),
      night ? "night" : "light");
    w.page = await w.context.newPage();
    w.faults = [];
    w.page.on("pageerror", (e) => w.faults.push(e.message));
    await w.page.goto(benches.length ? `${w.url}?station=bench` : w.url);
    await w.shows(".view-bench");
    return w;
  }

  // A bench's simulated scale; its port.
  async scaleOf(bench) {
    const sim = this.sims[bench] = spawn(join(build, "poise-sim"), ["--tcp", "0", "--family", "hdr2", "--rate", "20", "--d", "0.01",
      "--hand", "manual"], { stdio: ["pipe", "pipe", "inherit"] });
    return (await lineOf(sim, /(\d{2,5})\s*$/))[1];
  }

  // Starts poised, again on the port it had before.
  async start() {
    this.poised = spawn(join(build, "poised"), ["--config", join(this.dir, "poised.ini"), "--state", join(this.dir, "state"), "--socket",
      join(this.dir, "sock"), "--foreground", "--port-http", String(this.http)], {
      stdio: ["ignore", "pipe", "ignore"], env: { ...process.env, ...this.env } });
    this.http = Number((await lineOf(this.poised, /http=127\.0\.0\.1:(\d+)/))[1]);
    this.url = `http://127.0.0.1:${this.http}/`;
  }

  // The journal's writes fail with the errno that is written into `disk`.
  badDisk() {
    const shim = join(this.dir, "disk.so");
    this.disk = join(this.dir, "disk");
    writeFileSync(this.disk, "");
    execFileSync(process.env.CC ?? "cc", ["-D_GNU_SOURCE", "-shared", "-fPIC", "-o", shim, join(tree, "tests/e2e/preload/disk.c"), "-ldl"]);
    this.env = { LD_PRELOAD: shim, POISE_DISK: this.disk };
  }

  // Another size, paper and language, where the page stands: nothing is loaded anew.
  async wear({ size, night, language, wide = false }) {
    await this.page.setViewportSize(size);
    await this.page.evaluate(async ([paper, lang, broad]) => {
      const { loadWords, language: now } = await import("/page/words.js");
      if (lang !== now) await loadWords(lang);
      if (paper) document.documentElement.dataset.paper = "night";
      else delete document.documentElement.dataset.paper;
      window.broad ??= new CSSStyleSheet();
      window.broad.replaceSync(broad ? 'body { font-family: "DejaVu Sans"; }' : ""); // that of a bare Debian, 19 % wider
      document.adoptedStyleSheets = [window.broad];
      await new Promise((drawn) => requestAnimationFrame(drawn));
      window.poise?.draw(); // the wall draws itself
      await new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn)));
    }, [night, language, wide]);
  }

  async kill() {
    const ended = new Promise((done) => this.poised.once("exit", done));
    this.poised.kill("SIGKILL");
    await ended;
  }

  async end() {
    await this.browser?.close();
    for (const child of [this.poised, ...Object.values(this.sims)]) if (child && child.exitCode === null && child.signalCode === null) {
      const ended = new Promise((done) => child.once("exit", done));
      child.kill("SIGTERM");
      await ended;
    }
    rmSync(this.dir, { recursive: true, force: true });
  }

  hand(words, bench = "bench") {
    this.sims[bench].stdin.write(`${words}\n`);
  }

  async call(method, params = {}) {
    const page = await (await fetch(this.url)).text();
    const token = /poise-token" content="([0-9a-f]*)/.exec(page)[1];
    const answer = await fetch(`${this.url}rpc`, { method: "POST",
      headers: { "Content-Type": "application/json", "X-Poise-Token": token },
      body: JSON.stringify({ jsonrpc: "2.0", id: 1, method, params }) });
    const { result, error } = await answer.json();
    if (error) throw new Error(`${method}: ${error.message}`);
    return result;
  }

  screen() {
    return this.call("watch", { station: "bench" });
  }

  shows(selector) {
    return this.page.waitForSelector(selector, { timeout: WAIT_MS }).catch((e) => this.stuck(e));
  }

  // Waits until a condition on the page holds; it is given the app.
  until(condition, argument) {
    return this.page.waitForFunction(condition, argument, { timeout: WAIT_MS }).catch((e) => this.stuck(e));
  }

  // What the page and the daemon held when a wait was in vain: without it nobody can tell a slow page from a wrong one.
  async stuck(error) {
    const held = await this.page.evaluate(() => { const p = window.poise; return { views: p.views.map((v) => v.name), fresh: p.fresh,
      note: p.note, weight: p.weight, screen: p.screen }; }).catch((e) => ({ page: e.message }));
    const { screen } = held, told = await this.screen().catch((e) => ({ daemon: e.message }));
    const brief = (s) => s && { state: s.state, revision: s.revision, now: s.now, next: s.next, said: s.said, trouble: s.trouble, daemon: s.daemon };
    error.message += `\n      page: ${JSON.stringify({ ...held, screen: brief(screen) })}\n      daemon: ${JSON.stringify(brief(told))}`;
    throw error;
  }

  // A key as a person presses it: the page has stood, so that Enter is for what is seen.
  async key(key) {
    await this.until(() => performance.now() - window.poise.stoodSince > 400 && !window.poise.flight);
    await this.page.keyboard.press(key);
    await this.until(() => !window.poise.reader?.held.length); // a key waits a moment: it might have been a code's
  }

  // A bar-code reader: keys 5 ms apart, by the times they bear, and an Enter.
  async scan(code, end = "Enter") {
    this.reader ??= await this.context.newCDPSession(this.page);
    const began = Date.now() / 1000, keys = [...code, ...(end ? [end] : [])];
    const send = (key, i, type) => this.reader.send("Input.dispatchKeyEvent", { type, key, timestamp: began + i * 0.005,
      ...(key === "Enter" ? { text: "\r", windowsVirtualKeyCode: 13 } : { text: key }) });
    await Promise.all(keys.flatMap((key, i) => [send(key, i, "keyDown"), send(key, i, "keyUp")]));
  }

  // The same by a machine that is so loaded that each key arrives when the one before was taken for a hand's.
  async scanLate(code) {
    this.reader ??= await this.context.newCDPSession(this.page);
    const began = Date.now() / 1000;
    for (const [i, key] of [...code, "Enter"].entries()) {
      const text = key === "Enter" ? { text: "\r", windowsVirtualKeyCode: 13 } : { text: key };
      for (const type of ["keyDown", "keyUp"]) await this.reader.send("Input.dispatchKeyEvent", { type, key, timestamp: began + i * 0.005, ...text });
      await this.until(() => !window.poise.reader.held.length);
    }
  }

  // A real touch of a browser with a touch screen: so long, and slid so far down before it leaves.
  async tap(selector, { held = 90, slide = 0 } = {}) {
    await this.until(() => performance.now() - window.poise.stoodSince > 400 && !window.poise.flight);
    const box = await (await this.shows(selector)).boundingBox();
    const at = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
    this.touches ??= await this.context.newCDPSession(this.page);
    const began = Date.now() / 1000; // the times are told, not waited for: a busy machine shall not make a long touch of a short one
    const send = (type, touchPoints, ms) => this.touches.send("Input.dispatchTouchEvent",
      { type, touchPoints, timestamp: began + ms / 1000 });
    await send("touchStart", [at], 0);
    if (slide) await send("touchMove", [{ x: at.x, y: at.y + slide }], held / 2);
    await send("touchEnd", [], held);
    await this.page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
  }

  // Pours what is to go, and a little more or less; waits until the daemon's foot line takes Enter.
  async pour(extra = 0) {
    const toGo = (await this.screen()).now.to_go_g; // the page's own weight may still be of the step before
    this.hand(`pour ${(toGo + extra).toFixed(2)} 150`);
    await this.until((to) => { const w = window.poise.weight; return w.settled && Math.abs(w.to_go_g + to) < 0.03; }, extra);
    await this.shows(".sill.key");
  }
}
