// The page as a whole: what the record says, the question in hand, the drawing, and what is sent.
import { button, make } from "./keys.js";
import { CardView, questionOf, remembered } from "./cards.js";
import * as dialogs from "./dialogs.js";

const $ = (selector) => document.querySelector(selector);
const state = { view: null, version: "", at: 0, stage: "", asked: null, when: "", busy: false, drawn: "", judging: null };
const named = (name) => `${state.view?.pack.name} ${state.view?.pack.serial} ${name}`;

const page = {
  isStopped() {
    const stage = state.view.stages.find((one) => one.key === state.view.stage);
    return !state.judging && state.view.gates.some((gate) => gate.gate === stage?.gate && gate.tone === "stop");
  },
  later() { state.asked = null; state.at = (state.at + 1) % Math.max(state.view.cards.length, 1); showCard(); },
  alike() {
    const card = shown();
    return state.view.cards.filter((one) => one.alike && one.section === card.section &&
      one.fields.map((field) => field.column).join() === card.fields.map((field) => field.column).join());
  },
  instrumentFor(card) {
    const kept = remembered.get(named(`with ${card.instrument}`));
    if (kept in state.view.instruments) return kept;
    const fit = Object.entries(state.view.instruments).filter(([, told]) => told.kind === card.instrument);
    return fit.length === 1 ? fit[0][0] : "";
  },
  async chooseInstrument(card) {
    const chosen = await dialogs.askInstrument(state.view.instruments, card.instrument, page.instrumentFor(card));
    if (!chosen) return;
    if (chosen.cells && !(await tell({ section: "instruments", subjects: [chosen.name], cells: chosen.cells }))) return;
    await state.judging;
    remembered.set(named(`with ${card.instrument}`), chosen.name);
    cardView.draw();
  },
  choosePlaces(count, card) {
    const title = count > 1 ? `${card.title} lands on which two places?` : `${card.title} sits on which place?`;
    return dialogs.askPlaces(state.view.places, count, title);
  },
  async send(card, cells, { all, why, replaced }) {
    if (!remembered.get(named("by")) && !(await choosePerson())) return;
    const answered = all ? page.alike() : [card];
    const entry = { section: card.section, subjects: answered.map((one) => one.subject), cells, state: card.state, why, replaced };
    if (card.fields.some((field) => field.kind === "number") && card.section !== "devices") entry.instrument = page.instrumentFor(card);
    await tell(entry, answered);
  },
};
const cardView = new CardView($("#card"), page);

function shown() { return state.asked ?? state.view.cards[state.at] ?? null; }

async function fetched(path, options = {}) {
  try {
    const answer = await fetch(path, options);
    const kind = answer.headers.get("content-type") || "";
    return kind.includes("json") ? await answer.json() : { refused: answer.ok ? "" : "wrong", words: await answer.text() };
  } catch {
    return { refused: "gone", words: "No answer from the bench program. Is it still running? It is not known whether the " +
      "last entry was written: when the program runs again, this page shows what the record says." };
  }
}

/** Send an entry, which answers some cards; returns whether it was written.  It is judged after that. */
async function tell(entry, answered = []) {
  if (state.busy) return false;
  state.busy = true;
  document.body.setAttribute("aria-busy", "true");
  const mark = crypto.randomUUID?.() ?? String(Math.random());
  const started = performance.now();
  const answer = await fetched("/tell", { method: "POST", headers: { "content-type": "application/json" },
    body: JSON.stringify({ ...entry, by: remembered.get(named("by")), at: state.when, version: state.version, mark }) });
  state.busy = false;
  document.body.removeAttribute("aria-busy");
  document.body.dataset.answeredMs = String(Math.round(performance.now() - started));
  if (answer.refused) {
    if (answer.refused === "told") cardView.askWhy();
    if (answer.refused === "conflict") judge(() => say(answer.words, "stop"), "", false);
    if (answer.refused === "gone") waitForReturn();
    say(answer.words, answer.refused === "told" ? "fix" : "stop");
    return false;
  }
  const written = `Written: ${(entry.subjects.length > 3 ? [`${entry.subjects.length} rows`] : entry.subjects).join(", ")}.`;
  state.version = answer.version;
  state.asked = null;
  state.view.cards = state.view.cards.filter((card) => !answered.includes(card));
  cardView.forget();
  alarm(answer.fresh ?? []);
  judge((fresh) => say(fresh.length ? "" : `${written} ${standing()}`), `${written} It is not judged yet. `);
  say(`${written} Being judged …`);
  return true;
}

/** Fetch the judgement of the record as it is now.  Until it comes, nothing is shown as judged that is not. */
function judge(then, before = "", keeping = true) {
  const asked = new URLSearchParams({ stage: state.stage, since: state.view.version });
  const judging = fetched(`/state?${asked}`).then((view) => {
    if (judging !== state.judging) return;
    state.judging = null;
    if (view.refused) {
      say(`${before}${view.words}`, "stop");
      waitForReturn();
      return;
    }
    take(view, keeping);
    alarm(view.fresh, true);
    then(view.fresh);
  });
  state.judging = judging;
  showJudging();
  showCard();
}

/** Take what the record says now; whoever is filling in a card goes on with it, `keeping` also one not asked for now. */
function take(view, keeping = false) {
  const card = state.view && shown();
  const again = card ? view.cards.findIndex((one) => questionOf(one) === questionOf(card)) : -1;
  if (!keeping) state.asked = null;
  else if (card && again < 0 && cardView.isBegun()) state.asked = card;
  state.at = again >= 0 ? again : view.stage !== state.view?.stage || state.at >= view.cards.length ? 0 : state.at;
  state.view = view;
  state.version = view.version;
  showAll();
}

function standing() {
  const open = state.view.gates.find((gate) => gate.tone !== "clear");
  if (!open) return "Nothing is left that these rules ask for. That is not permission to energize.";
  if (open.tone === "open") return `Nothing broken so far; ${open.left} to record for gate '${open.gate}'.`;
  return `Something is to be put right for gate '${open.gate}'.`;
}

function say(words, tone = "") {
  $("#banner").textContent = words;
  $("#banner").className = tone ? `tone-${tone}` : "";
}

/** Show what has just turned out to be wrong, until somebody has read it; `more`: what an entry showed by itself stays. */
function alarm(faults, more = false) {
  const box = $("#alarm");
  if (more && !faults.length) return;
  box.replaceChildren();
  if (!faults.length) return;
  const worst = faults[0];
  box.className = worst.tone;
  box.append(make("h2", {}, worst.tone === "stop" ? "STOP" : "Put this right"), make("p", {}, make("b", {}, worst.headline)),
    make("p", {}, worst.do), ...(faults.length > 1 ? [make("p", { class: "quiet" }, `and ${faults.length - 1} more${more ? " below" : ""}`)] : []),
    button("I have read this", () => box.replaceChildren()));
  box.scrollIntoView({ block: "nearest" });
}

function showAll() {
  const view = state.view;
  document.title = `${view.pack.serial || view.pack.name}: bench`;
  $("#pack").textContent = `${view.pack.serial || "pack without a serial"}, ${view.pack.name}`;
  $("#gates").replaceChildren(...view.gates.map((gate) => make("li", {}, button("", () => showAnswer(gate.gate),
    { class: `tone-${gate.tone}`, "data-gate": gate.gate, "data-tone": gate.tone }))));
  view.gates.forEach((gate, n) => $("#gates").children[n].firstChild.append(make("b", {}, gate.gate),
    make("span", {}, gateWords(gate))));
  $("#who").textContent = [remembered.get(named("by")) || "Who?", state.when && `at ${state.when.slice(5)}`].filter(Boolean).join(" ");
  $("#stage").replaceChildren(...view.stages.map((stage) => make("option", { value: stage.key, selected: stage.key === view.stage },
    `${stage.title || stage.gate} (${stage.left ? `${stage.left} left` : "advice"})`)));
  $("#stagebox").hidden = !view.stages.length;
  showJudging();
  showFindings();
  showLast();
  showCard();
  showDrawing();
}

/** Say of everything that was judged before the last entry that it is being judged anew. */
function showJudging() {
  document.body.toggleAttribute("data-judging", Boolean(state.judging));
  $("#look").setAttribute("aria-busy", String(Boolean(state.judging)));
  if (!state.judging) return;
  for (const gate of $("#gates").querySelectorAll("button")) {
    gate.className = "tone-open";
    gate.dataset.tone = "judging";
    gate.lastChild.textContent = "being judged …";
  }
}

function gateWords(gate) {
  return { stop: "STOP", fix: "to put right", open: `${gate.left} to record`, clear: "no rule broken" }[gate.tone];
}

function showCard() {
  const card = shown();
  if (!card && state.judging) {
    cardView.show(null);
    $("#card").replaceChildren(make("h2", {}, "Being judged …"));
    return;
  }
  if (!card) {
    cardView.show(null);
    $("#card").replaceChildren(make("h2", {}, "Nothing left to record here"), make("p", {}, standing()),
      make("div", { class: "foot" }, ...state.view.gates.map((gate) => button(`Answer at '${gate.gate}'`, () => showAnswer(gate.gate)))));
    return;
  }
  cardView.show(card, placeOf(card));
  highlight();
}

function placeOf(card) {
  if (state.asked) return card.again ? "told again" : "in hand";
  if (state.judging) return "next";
  return `${state.at + 1} of ${state.view.cards.length}${state.view.cards.length >= 60 ? " or more" : ""}`;
}

function showFindings() {
  $("#wrong").hidden = !state.view.findings.length;
  $("#findings").replaceChildren(...state.view.findings.map((one) => make("li", { class: `tone-${one.tone}` }, make("details", {},
    make("summary", {}, make("b", {}, `${one.number}  ${one.headline}`)), make("p", {}, one.why), make("p", {}, `Do: ${one.do}`),
    make("p", { class: "quiet" }, `${one.rule}, by gate '${one.gate}'`)))));
}

function showLast() {
  $("#last").replaceChildren(...state.view.last.map((one) => make("li", {}, make("span", {},
    make("b", {}, one.subject), ` ${one.column === "is" ? "" : `${one.column} `}${one.value} `,
    make("span", { class: "quiet" }, [one.at, one.by, one.instrument, one.why].filter(Boolean).join(", "))),
  one.why ? null : button("Again", () => tellAgain(one), { "aria-label": `tell ${one.column} of ${one.subject} again` }))));
}

async function tellAgain(cell) {
  const asked = new URLSearchParams({ section: cell.section, subject: cell.subject, column: cell.column });
  const card = await fetched(`/again?${asked}`);
  if (card.fields) { state.asked = card; showCard(); $("#card").scrollIntoView({ block: "nearest" }); }
}

async function showDrawing() {
  const parts = state.view.cards.flatMap((card) => card.parts);
  const width = Math.max(320, Math.min(1100, $("#look").clientWidth - 24));
  const wanted = new URLSearchParams({ parts: [...new Set(parts)].join(","), width: String(Math.round(width)) });
  const key = `${state.view.version} ${wanted}`;
  if (key === state.drawn) return;
  state.drawn = key;
  const drawing = await fetched(`/drawing?${wanted}`);
  if (drawing.refused || key !== state.drawn) return;
  const parsed = new DOMParser().parseFromString(drawing.words, "image/svg+xml");
  if (parsed.documentElement.nodeName === "svg") $("#drawing").replaceChildren(document.importNode(parsed.documentElement, true));
  highlight();
}

/** Draw a box about what is in hand, and bring it into sight. */
function highlight() {
  const svg = $("#drawing svg");
  if (!svg) return;
  svg.querySelectorAll(".now-box").forEach((box) => box.remove());
  const wanted = shown()?.parts ?? [];
  const found = [...svg.querySelectorAll("[data-part]")].filter((one) => wanted.includes(one.dataset.part) && !one.classList.contains("mark"));
  const boxes = found.slice(0, 8).map((one) => one.getBBox());
  for (const box of boxes.filter((one) => !boxes.some((other) => other !== one && holds(other, one)))) {
    const rectangle = document.createElementNS("http://www.w3.org/2000/svg", "rect");
    for (const [name, value] of Object.entries({ x: box.x - 5, y: box.y - 5, width: box.width + 10, height: box.height + 10, rx: 6,
      class: "now-box" })) rectangle.setAttribute(name, value);
    svg.append(rectangle);
  }
  if (found.length) bringIntoSight($("#drawing"), found[0]);
}

/** Return whether a box has another one, smaller than itself, wholly inside. */
function holds(outer, inner) {
  return inner.x >= outer.x && inner.y >= outer.y && inner.x + inner.width <= outer.x + outer.width &&
    inner.y + inner.height <= outer.y + outer.height && inner.width * inner.height < outer.width * outer.height;
}

/** Move what is in a box so that a part of it is seen; the page itself stays where it is. */
function bringIntoSight(box, part) {
  const [outer, inner] = [box.getBoundingClientRect(), part.getBoundingClientRect()];
  if (inner.top < outer.top || inner.bottom > outer.bottom) box.scrollTop += inner.top - outer.top - (outer.height - inner.height) / 2;
  if (inner.left < outer.left || inner.right > outer.right) box.scrollLeft += inner.left - outer.left - (outer.width - inner.width) / 2;
}

function tapped(event) {
  const part = event.target.closest("[data-part]")?.dataset.part;
  const at = part ? state.view.cards.findIndex((card) => card.parts.includes(part) || card.subject === part) : -1;
  if (at >= 0) { state.asked = null; state.at = at; showCard(); }
}

async function showAnswer(gate) {
  const answer = await fetched(`/answer?${new URLSearchParams({ gate })}`);
  await dialogs.showText(`The answer at gate '${gate}'`, answer.words);
}

async function choosePerson() {
  const chosen = await dialogs.askPerson(state.view.people, remembered.get(named("by")));
  if (!chosen) return false;
  if (chosen.did && !(await tell({ section: "people", subjects: [chosen.name], cells: { did: chosen.did } }))) return false;
  await state.judging;
  remembered.set(named("by"), chosen.name);
  showAll();
  return true;
}

async function more() {
  const what = await dialogs.open("More", (close) => [make("div", { class: "row" },
    button("When it was done", () => close("when")), button("Log a step of the work", () => close("step")),
    button("Write a note", () => close("note")), button("Add an instrument", () => close("instrument")),
    button("Light or dark", () => close("theme")), button("The whole answer", () => close("answer"))),
  make("div", { class: "foot" }, button("Back", () => close()))]);
  if (what === "when") {
    const when = await dialogs.askTime(state.when);
    if (when !== null) { state.when = when; showAll(); }
  } else if (what === "step") {
    const cells = await dialogs.askStep(state.view.people, state.view.parts.filter((part) => !/[/. ]/.test(part)).slice(0, 40));
    if (cells) await tell({ section: "work", subjects: ["step"], cells });
  } else if (what === "note") {
    const note = await dialogs.askNote();
    if (note) await tell({ section: "notes", subjects: ["note"], cells: { note } });
  } else if (what === "instrument") {
    const chosen = await dialogs.askInstrument(state.view.instruments, "", "");
    if (chosen?.cells) await tell({ section: "instruments", subjects: [chosen.name], cells: chosen.cells });
  } else if (what === "theme") {
    setTheme(document.documentElement.classList.contains("dark") ? "light" : "dark");
  } else if (what === "answer") await showAnswer("release");
}

function setTheme(theme) {
  document.documentElement.classList.remove("light", "dark");
  if (theme) document.documentElement.classList.add(theme);
  remembered.set("theme", theme);
}

/** Ask again and again until the program answers, then show what the record says. */
function waitForReturn() {
  setTimeout(async () => {
    const view = await fetched(`/state?${new URLSearchParams({ stage: state.stage })}`);
    if (view.refused) { waitForReturn(); return; }
    take(view);
    say("The bench program answers again. This is what the record says: look whether your last entry is in it.", "fix");
  }, 1000);
}

async function begin() {
  setTheme(remembered.get("theme"));
  const view = await fetched("/state");
  if (view.refused) { say(view.words, "stop"); return; }
  take(view);
  say(standing());
}

$("#stage").addEventListener("change", async (event) => {
  state.stage = event.target.value;
  state.asked = null;
  state.view.cards = [];
  judge(() => say(standing()));
});
$("#who").addEventListener("click", choosePerson);
$("#more").addEventListener("click", more);
$("#drawing").addEventListener("click", tapped);
begin();
