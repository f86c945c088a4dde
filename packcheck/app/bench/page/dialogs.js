// Who works, what with, which places, the whole answer, a step of the work: what opens over the page.
import { button, make } from "./keys.js";

const dialog = document.querySelector("#dialog");

/** Open a dialog; resolves with what it was closed with, null when it was put away. */
export function open(title, build) {
  return new Promise((resolve) => {
    const close = (value = null) => { dialog.close(); resolve(value); };
    dialog.replaceChildren(make("h2", { id: "dialog-title" }, title), ...build(close));
    dialog.setAttribute("aria-labelledby", "dialog-title");
    dialog.oncancel = () => resolve(null);
    dialog.showModal();
  });
}

function field(label, input) { return make("label", {}, label, input); }

function text(properties = {}) { return make("input", { type: "text", autocomplete: "off", ...properties }); }

function end(close, done, words = "Write it down") {
  return make("div", { class: "foot" }, button(words, done, { class: "go", id: "done" }), button("Back", () => close()));
}

/** Ask who works; resolves with initials, and what they do when they are new. */
export function askPerson(people, chosen) {
  return open("Who is working?", (close) => {
    const initials = text({ id: "initials", maxlength: "12" });
    const job = text({ id: "job", maxlength: "80", placeholder: "fitter, second person, …" });
    const known = Object.entries(people).map(([name, did]) => button(`${name}: ${did}`, () => close({ name }),
      { class: name === chosen ? "picked" : "" }));
    const done = () => initials.value.trim() && close({ name: initials.value.trim(), did: job.value.trim() || "at the bench" });
    return [make("div", { class: "row" }, ...known), make("h3", {}, "Somebody else"),
      field("Initials", initials), field("What they do", job), end(close, done)];
  });
}

const KINDS = ["multimeter", "click wrench", "indicating wrench", "micro-ohmmeter", "length gauge", "load tester",
  "insulation tester", "scale", "cycler"];

/** Return what people call an instrument that a question wants. */
export function instrumentNamed(wanted) { return wanted === "rule" ? "length gauge" : wanted || "instrument"; }

/** Ask which instrument; resolves with its name, and what is written on it when it is new. */
export function askInstrument(instruments, wanted, chosen) {
  return open(`Which ${instrumentNamed(wanted)}?`, (close) => {
    const name = text({ id: "name", maxlength: "20", placeholder: "V1" });
    const kind = make("select", { id: "kind" }, ...KINDS.map((one) => make("option", {}, one)));
    kind.value = KINDS.includes(instrumentNamed(wanted)) ? instrumentNamed(wanted) : KINDS[0];
    const accuracy = text({ id: "accuracy", placeholder: "0.03 % + 2 mV" });
    const range = text({ id: "range", placeholder: "2 N·m to 10 N·m" });
    const inputs = text({ id: "input", placeholder: "10 MΩ" });
    const due = make("input", { type: "date", id: "due" });
    const known = Object.entries(instruments).map(([one, told]) => button(`${one}: ${told.kind}`, () => close({ name: one }),
      { class: one === chosen ? "picked" : "" }));
    const done = () => {
      if (!name.value.trim()) return;
      const said = { kind: kind.value, accuracy: accuracy.value, range: range.value, input: inputs.value, due: due.value };
      close({ name: name.value.trim(), cells: Object.fromEntries(Object.entries(said).filter(([, value]) => value)) });
    };
    return [make("div", { class: "row" }, ...known), make("h3", {}, "Another one"),
      field("Name in this record", name), field("Kind", kind), field("Accuracy, as its maker states it", accuracy),
      field("Range", range), field("Input resistance of a meter", inputs), field("Calibration due", due), end(close, done)];
  });
}

/** Ask for places by their names; resolves with so many of them. */
export function askPlaces(places, count, title) {
  return open(title, (close) => {
    const chosen = [];
    const said = make("p", { id: "chosen" }, "none yet");
    const filter = text({ placeholder: "begin to type, as in P03", "aria-label": "name of the place" });
    const list = make("div", { class: "row", id: "places" });
    const draw = () => {
      const wanted = filter.value.trim().toLowerCase();
      list.replaceChildren(...places.filter((place) => place.toLowerCase().includes(wanted)).slice(0, 60).map((place) =>
        button(place, () => {
          if (chosen.includes(place)) chosen.splice(chosen.indexOf(place), 1);
          else chosen.push(place);
          said.textContent = chosen.join(" – ") || "none yet";
          if (chosen.length === count) close([...chosen]);
          else draw();
        }, { class: chosen.includes(place) ? "picked" : "", "data-place": place })));
    };
    filter.addEventListener("input", draw);
    draw();
    return [said, filter, list, make("div", { class: "foot" }, button("Back", () => close()))];
  });
}

/** Show a long text. */
export function showText(title, words) {
  return open(title, (close) => [make("pre", { tabindex: "0" }, words),
    make("div", { class: "foot" }, button("Back", () => close(), { class: "go" }))]);
}

/** Ask about a step of the work; resolves with its cells. */
export function askStep(people, parts) {
  return open("A step of the work", (close) => {
    const did = text({ id: "did" });
    did.value = parts.join(", ");
    const off = text({ id: "off" });
    const second = make("select", {}, make("option", {}, "none"), ...Object.keys(people).map((one) => make("option", {}, one)));
    const gloves = make("select", {}, ...["none", "class 00", "class 0", "class 1", "class 2"].map((one) => make("option", {}, one)));
    const tested = make("input", { type: "date" });
    const notes = text({ maxlength: "300" });
    const names = (input) => input.value.split(",").map((one) => one.trim()).filter(Boolean);
    const done = () => close(Object.fromEntries(Object.entries({
      second: second.value, gloves: gloves.value, "gloves tested": tested.value, did: names(did), "took off": names(off),
      notes: notes.value,
    }).filter(([, value]) => value.length)));
    return [field("Fitted (names, ranges, words of the order)", did), field("Taken off", off), field("Second person", second),
      field("Gloves", gloves), field("Gloves tested", tested), field("Remarks", notes), end(close, done)];
  });
}

/** Ask for a note. */
export function askNote() {
  return open("A note", (close) => {
    const note = make("textarea", { maxlength: "400", "aria-label": "note" });
    return [note, end(close, () => note.value.trim() && close(note.value.trim()))];
  });
}

/** Ask when what comes next was done. */
export function askTime(at) {
  return open("When was it done?", (close) => {
    const when = make("input", { type: "datetime-local", id: "when" });
    when.value = at.replace(" ", "T");
    return [make("p", {}, "What is entered from now on gets this time, until you say now again."), when,
      make("div", { class: "foot" }, button("Now", () => close(""), { class: "go" }),
        button("At this time", () => when.value && close(when.value.replace("T", " ").slice(0, 16)), { id: "done" }),
        button("Back", () => close()))];
  });
}
