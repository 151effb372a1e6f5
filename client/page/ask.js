// ask.js - what an act asks for before it is sent: a toner, a reason, a weight, who looked. One page a member, in turn.
import { Ask } from "./list.js";
import { insteadOf } from "./instead.js";
import { said, typed, word } from "./words.js";

const numbers = ["grams", "uncounted_g", "lost_g"];
const labels = { really: "member.toner", glance: "page.who_looked" };

// What may be taken instead of typed.
async function choicesOf(app, ask) {
  if (ask === "toner" || ask === "really") {
    const first = ask === "really" ? await insteadOf(app.screen) : []; // of another tin: what could stand in for the open one
    const rest = ((await app.ask("toner.list", { limit: 500 }))?.toners ?? []).filter((t) => !first.some((f) => f.value === t.id));
    return [...first, ...rest.map((t) => ({ value: t.id, text: t.name }))];
  }
  if (ask === "glance")
    return ((await app.ask("people.list", {}))?.people ?? []).filter((p) => !p.retired && p.painter !== app.screen.painter)
      .map((p) => ({ value: p.painter }));
  if (ask === "why")
    return ["scrap_wrong_colour", "scrap_spilled", "scrap_dirt", "scrap_not_needed"].map((w) => ({ value: word(`page.${w}`) }));
  return [];
}

// asks: what is still to be given; more: what was given by now.
async function askFor(app, { act, said: sentence, asks: [ask, ...others] }, more) {
  const mode = numbers.includes(ask) ? "number" : "text";
  const name = ask === "toner" && act.method === "batch.accept" ? "really" : ask;
  const choices = await choicesOf(app, name);
  app.open(new Ask("ask", said(sentence), {
    ask, mode, choices, label: word(labels[ask] ?? `member.${ask}`), says: (value) => `${said(sentence)}: ${value}`,
    async run(a, value) {
      const given = { ...more, [name]: mode === "number" ? typed(value) : value };
      if (others.length) await askFor(a, { act, said: sentence, asks: others }, given);
      else if (await a.act(act, given)) a.home();
    },
  }));
}

// The act at once where it asks for nothing; then the screen that came of it, else null.
export async function actOrAsk(app, move, more = {}) {
  if (!move.asks?.length) return app.act(move.act, more);
  await askFor(app, move, more);
  return null;
}
