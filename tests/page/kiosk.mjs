// kiosk.mjs - the page where it is all that a screen shows: a kiosk with its keys, and a tablet's home screen.
import assert from "node:assert/strict";
import { accessible, fits } from "./hands.mjs";

async function right(w, where) {
  await accessible(w, where);
  await fits(w, where);
}

export const kioskStories = (inWorld) => ({
  "a kiosk's page keeps the browser's keys to itself, another page leaves them alone": (options) => inWorld(options, async (w) => {
    const kept = () => w.page.evaluate(() => [{ key: "n", ctrlKey: true }, { key: "o", ctrlKey: true }, { key: "I", ctrlKey: true, shiftKey: true },
      { key: "F12" }, { key: "ArrowLeft", altKey: true }].map((e) =>
      !document.body.dispatchEvent(new KeyboardEvent("keydown", { ...e, bubbles: true, cancelable: true }))));
    assert.deepEqual(await kept(), [false, false, false, false, false]);
    await w.page.goto(`${w.url}?kiosk`);
    await w.shows(".view-bench");
    await w.until(() => window.poise?.fresh);
    assert.deepEqual(await kept(), [true, true, true, true, true]);
    assert.ok(await w.page.evaluate(() => !document.body.dispatchEvent(new MouseEvent("contextmenu", { bubbles: true, cancelable: true }))));
    await w.page.goto(w.url); // once a kiosk, wherever its page goes
    await w.shows(".view-bench");
    assert.deepEqual(await kept(), [true, true, true, true, true]);
    await w.key("/");
    await w.shows("#field-text");
    assert.ok(await w.page.evaluate(() => document.querySelector("#field-text").dispatchEvent(
      new KeyboardEvent("keydown", { key: "v", ctrlKey: true, bubbles: true, cancelable: true }))), "what is copied may be pasted");
  }),

  "a kiosk by touch alone: a colour and its amount by the keys on the screen, a real key puts them away": (options) =>
    inWorld({ ...options, touch: true }, async (w) => {
    const type = async (text) => { for (const c of text) await w.tap(`.pad [data-key="${c}"]`); };
    await w.page.goto(`${w.url}?kiosk`);
    await w.until(() => window.poise?.fresh);
    await w.tap(".commit");
    await w.shows(".view-find .pad");
    await right(w, "find with keys");
    await type("118");
    await w.until(() => window.poise.view.open?.formula?.code === "TI-118");
    while ((await w.page.evaluate(() => window.poise.view.name)) === "find") await w.tap(".commit");
    await w.shows(".view-amount .pad");
    await type("150");
    await w.tap('.pad [data-key="\u232B"]');
    await w.until(() => window.poise.view.values.grams === "15");
    await type("0");
    await right(w, "amount with keys");
    await w.tap("#field-painter");
    await w.tap('.pad [data-key="\u21E7"]');
    await type("ines");
    await w.shows(".view-amount .sill.key");
    await w.tap(".commit");
    await w.shows(".in-cup");
    const { wanted_g, painter } = await w.screen();
    assert.deepEqual([wanted_g, painter], [150, "Ines"]);
    await w.page.evaluate(() => window.poise.openFind(window.poise));
    await w.shows(".pad");
    await w.page.keyboard.press("2");
    await w.until(() => !document.querySelector(".pad"));
  }),

  "a tablet can install the page: the manifest's icons are there, in the sizes that it names": (options) => inWorld(options, async (w) => {
    const tried = await w.page.evaluate(async () => {
      const icons = (await (await fetch("/manifest.webmanifest")).json()).icons.map((i) => [i.src, i.sizes]);
      const home = document.querySelector("link[rel=apple-touch-icon]").getAttribute("href");
      return Promise.all([...icons, [home, "180x180"]].map(async ([src, sizes]) => {
        const picture = Object.assign(new Image(), { src });
        await picture.decode();
        return [src, sizes, sizes === "any" ? "any" : `${picture.naturalWidth}x${picture.naturalHeight}`];
      }));
    });
    for (const [src, told, real] of tried) assert.equal(real, told, src);
    const cdp = await w.context.newCDPSession(w.page);
    assert.deepEqual((await cdp.send("Page.getInstallabilityErrors")).installabilityErrors.map((e) => e.errorId)
      .filter((id) => id !== "in-incognito"), []); // a test's browser always is
  }),
});
