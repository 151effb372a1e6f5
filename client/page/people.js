// people.js - who works at this bench: a name tapped signs in, and batches begun from then on bear it. A name is no
// right: it never raises what this screen may do.
import { Ask, List } from "./list.js";
import { day, hour, word } from "./words.js";

async function sign(app, method, params) {
  if (await app.act({ method, params: { station: app.station, ...params } })) app.home();
}

const askName = (app) => app.open(new Ask("ask", word("page.new_person"), {
  ask: "painter", label: word("member.name"), says: (value) => `${word("page.new_person")}: ${value}`,
  async run(a, painter) {
    if (await a.act({ method: "people.put", params: { painter } })) a.back();
  } }));

// Somebody who left is shown no more, but batches still name them.
async function retire(app, p) {
  const { painter, glance, trained } = p;
  if (await app.act({ method: "people.put", params: { painter, glance, ...(trained ? { trained } : {}), retired: true } })) app.view.read(app);
}

function rows(app, view) {
  const here = app.screen.signed_in;
  const names = (view.people ?? []).filter((p) => !p.retired && p.painter !== here);
  return [
    here && { text: word("page.sign_out", { painter: here }), run: () => sign(app, "people.sign_out", {}) },
    ...names.map((p) => ({ text: p.painter, detail: p.last ? `${day(p.last)} ${hour(p.last)}` : "", person: p,
      says: word("page.sign_in", { painter: p.painter }), run: () => sign(app, "people.sign_in", { painter: p.painter }) })),
    { text: word("page.new_person"), run: () => askName(app) }].filter(Boolean);
}

export function openPeople(app) {
  const view = new List("people", word("page.people"), (a) => rows(a, view), {
    secondOf: (a, row) => row.person && { text: word("page.has_left"), run: () => retire(a, row.person) },
    read: async (a) => {
      view.people = (await a.ask("people.list", {}))?.people ?? [];
      a.draw();
    } });
  app.open(view);
}
