// One question at a time: its fields, what has been filled in so far, and the keys for it.
import { instrumentNamed } from "./dialogs.js";
import { button, isNumber, keyOf, keypad, make, pressed } from "./keys.js";

const remembered = {
  get: (name) => localStorage.getItem(`bench ${name}`) || "",
  set: (name, value) => localStorage.setItem(`bench ${name}`, value),
};
export { remembered };

/** Return what tells a question from others. */
export function questionOf(card) {
  return [card.section, card.subject, card.state, card.again, ...card.fields.map((field) => field.column)].join("|");
}

const HELD = "STOP stands: fit nothing more until it is put right. Tell here only what is there already.";
const REASONS = {
  "slip of the pen": "", "read again to be sure": "", "put right": "", "new fastener": "fastener", "new module": "module",
};

/** Shows a question; `ask` does what the page has to do: send, later, instrument, choosePlaces. */
export class CardView {
  constructor(root, page) {
    this.root = root;
    this.page = page;
    this.card = null;
    document.addEventListener("keydown", (event) => this.#typed(event));
  }

  /** Show a question with nothing filled in; the one that is shown already keeps what is filled in. */
  show(card, position) {
    const same = card && this.card && questionOf(card) === questionOf(this.card);
    const held = Boolean(card?.section) && this.page.isStopped();
    const alike = same && held === this.held && JSON.stringify(card) === JSON.stringify(this.card);
    this.held = held;
    this.card = card;
    this.position = position;
    if (alike) { this.root.querySelector("#position").textContent = position; return; } // a finger may be on a key
    if (same) { this.draw(); return; }
    this.values = {};
    this.why = "";
    this.replaced = "";
    this.needsWhy = card?.again ?? false;
    this.active = card?.fields.find((field) => this.#isKeyed(field) && !field.optional)?.column ?? "";
    this.draw();
  }

  /** Return whether something is filled in. */
  isBegun() { return Object.values(this.values ?? {}).some((value) => value); }

  /** Forget what was filled in: it is told. */
  forget() { this.card = null; this.values = {}; }

  /** Ask for a reason as well: what is told already is told a second time. */
  askWhy() {
    this.needsWhy = true;
    this.draw();
    this.root.querySelector(".why button")?.focus();
  }

  draw() {
    const card = this.card;
    this.root.replaceChildren();
    this.root.dataset.subject = card?.subject ?? "";
    this.root.dataset.section = card?.section ?? "";
    if (!card) return;
    const head = make("div", { class: "title" }, make("h2", { id: "subject" }, card.title));
    head.append(make("span", { class: "quiet", id: "position" }, this.position));
    if (card.advice) head.append(make("span", { class: "quiet" }, "advice only"));
    if (card.state) head.append(make("span", { class: "quiet" }, `state: ${card.state}`));
    this.root.append(head);
    if (this.held) this.root.append(make("p", { class: "held" }, HELD));
    if (!card.section) {
      const words = card.fields.map((field) => field.label).join("; ");
      this.root.append(make("p", {}, `${words}: this is written into the record file itself.`), this.#foot());
      return;
    }
    const keyed = card.fields.filter((field) => this.#isKeyed(field));
    this.root.append(make("div", { class: keyed.length > 1 ? "fields many" : "fields" }, ...card.fields.map((field) => this.#field(field))));
    if (keyed.some((field) => field.kind === "number") && !this.#isPrinted()) this.root.append(this.#instrument());
    if (this.needsWhy) this.root.append(this.#reasons());
    if (keyed.length) {
      const whole = this.#activeField()?.kind === "count";
      this.root.append(keypad((key) => this.#press(key), { whole, later: () => this.page.later() }));
    }
    this.root.append(this.#foot(keyed.length > 0));
    this.#enable();
  }

  #field(field) {
    const label = make("div", { class: "label" }, make("span", {}, field.column === "is" && field.optional ? "or is it not there?" : field.label));
    if (field.target) label.append(make("span", { class: "target" }, field.target));
    const box = make("div", { class: "field", "data-column": field.column, "data-kind": field.kind }, label);
    if (this.#isKeyed(field)) box.append(this.#number(field));
    else if (field.kind === "text" || field.kind === "date") box.append(...this.#text(field));
    else if (field.kind === "places") box.append(this.#places(field));
    else box.append(make("div", { class: "row" }, ...field.choices.map((choice) => this.#choice(field, ...choice))));
    return box;
  }

  #number(field) {
    const value = button(this.values[field.column] || "–", () => { this.active = field.column; this.draw(); },
      { class: `value${this.active === field.column ? " active" : ""}`, "aria-label": `${field.label}: number` });
    const unit = field.units.length ? button(this.#unit(field), () => this.#nextUnit(field), { class: "unit",
      "aria-label": `unit ${this.#unit(field)}, press for another` }) : null;
    return make("div", { class: "number" }, value, unit);
  }

  #text(field) {
    const input = make("input", { type: field.kind, "aria-label": field.label, maxlength: "120", autocomplete: "off" });
    input.value = this.values[field.column] || "";
    input.addEventListener("input", () => { this.values[field.column] = input.value.trim(); this.#enable(); });
    input.addEventListener("keydown", (event) => {
      event.stopPropagation();
      if (event.key === "Enter") this.#send();
    });
    const drawn = field.choices.map(([value, words]) => button(words, () => {
      this.values[field.column] = value;
      this.draw();
    }));
    return drawn.length ? [input, make("div", { class: "row" }, ...drawn)] : [input];
  }

  #places(field) {
    const chosen = this.values[field.column];
    const many = field.column === "lands";
    return make("div", { class: "row" }, button(chosen ? [].concat(chosen).join(" – ") : "elsewhere …", async () => {
      const places = await this.page.choosePlaces(many ? 2 : 1, this.card);
      if (!places) return;
      this.values = { ...this.values, [field.column]: many ? places : places[0] };
      delete this.values.is;
      this.#afterChoice();
    }, { class: chosen ? "picked" : "" }));
  }

  #choice(field, value, words) {
    const picked = this.values[field.column] === value;
    return button(words, () => {
      if (picked) delete this.values[field.column];
      else this.values[field.column] = value;
      if (field.column === "is") { delete this.values.lands; delete this.values.on; }
      if (value === "not fitted") this.values = { is: value };
      this.#afterChoice();
    }, { class: picked ? "picked" : "", "aria-pressed": String(picked), "data-value": value });
  }

  #afterChoice() {
    this.draw();
    const others = this.card.fields.filter((field) => !field.optional || field.column === "condition");
    if (this.#isReady() && (others.length < 2 || this.values.is === "not fitted")) this.#send();
  }

  #instrument() {
    const name = this.page.instrumentFor(this.card);
    const words = name ? `with ${name}` : `Choose the ${instrumentNamed(this.card.instrument)}`;
    return make("div", { class: "field row" }, button(words, () => this.page.chooseInstrument(this.card),
      { id: "instrument", class: name ? "" : "go" }));
  }

  #reasons() {
    const buttons = Object.entries(REASONS).map(([words, replaced]) => button(words, () => {
      this.why = words;
      this.replaced = replaced;
      this.draw();
    }, { class: this.why === words ? "picked" : "" }));
    const other = make("input", { type: "text", "aria-label": "another reason", placeholder: "another reason", maxlength: "200" });
    other.value = this.why in REASONS ? "" : this.why;
    other.addEventListener("input", () => { this.why = other.value.trim(); this.replaced = ""; this.#enable(); });
    other.addEventListener("keydown", (event) => event.stopPropagation());
    return make("div", { class: "field why" }, make("p", {}, "It is told already. Why a second time?"),
      make("div", { class: "row" }, ...buttons), other);
  }

  #foot(keyed = false) {
    const foot = make("div", { class: "foot" });
    if (!keyed && this.card.section) foot.append(button("Enter", () => this.#send(), { class: "go", id: "enter" }));
    if (!keyed) foot.append(button("Later", () => this.page.later(), { id: "later" }));
    if (this.card.alike && this.page.alike().length > 1) {
      foot.append(button(`The same for all ${this.page.alike().length} left`, () => this.#send(true), { id: "all" }));
    }
    return foot;
  }

  #press(key) {
    if (key === "enter") { this.#enter(); return; }
    if (!this.active) return;
    const whole = this.#activeField()?.kind === "count";
    if (whole && (key === "." || key === "sign")) return;
    this.values[this.active] = pressed(this.values[this.active] || "", key);
    const value = this.root.querySelector(`[data-column="${this.active}"] .value`);
    if (value) value.textContent = this.values[this.active] || "–";
    this.#enable();
  }

  #enter() {
    const open = this.card.fields.find((field) => this.#isKeyed(field) && !field.optional && !this.values[field.column]);
    if (open && open.column !== this.active) { this.active = open.column; this.draw(); return; }
    this.#send();
  }

  #typed(event) {
    if (!this.card || event.target.matches("input, textarea, select") || document.querySelector("dialog[open]")) return;
    const key = keyOf(event);
    if (!key || !this.active || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    this.#press(key);
  }

  #isReady() {
    if (this.needsWhy && !this.why) return false;
    if (this.values.is === "not fitted") return true;
    return this.card.fields.every((field) => {
      const value = this.values[field.column];
      if (this.#isKeyed(field)) return value ? isNumber(value, field.kind === "count") : field.optional;
      if (value) return true;
      if (field.column === "is") return field.optional || Boolean(this.values.lands || this.values.on);
      return field.optional;
    }) && Object.values(this.values).some((value) => value);
  }

  #enable() {
    const ready = this.#isReady() && this.#hasInstrument();
    const open = this.card.fields.some((field) => this.#isKeyed(field) && !field.optional && !this.values[field.column]);
    for (const id of ["enter", "all"]) {
      const control = this.root.querySelector(`#${id}`);
      if (control) control.disabled = id === "enter" && open && this.active ? !this.values[this.active] : !ready;
    }
  }

  #hasInstrument() {
    const read = this.card.fields.some((field) => field.kind === "number") && !this.#isPrinted();
    return !read || Boolean(this.page.instrumentFor(this.card));
  }

  #send(all = false) {
    if (!this.#isReady() || !this.#hasInstrument()) return;
    const cells = { ...this.card.fixed };
    for (const field of this.card.fields) {
      const value = this.values[field.column];
      if (value === undefined || value === "") continue;
      if (field.kind === "count") cells[field.column] = Number(value);
      else cells[field.column] = field.kind === "number" ? `${value} ${this.#unit(field)}` : value;
    }
    this.page.send(this.card, cells, { all, why: this.why, replaced: this.replaced });
  }

  #isPrinted() { return this.card.section === "devices"; }

  #isKeyed(field) { return field.kind === "number" || field.kind === "count"; }

  #activeField() { return this.card.fields.find((field) => field.column === this.active); }

  #unit(field) {
    const kept = remembered.get(`unit ${this.card.section} ${field.column}`);
    return field.units.includes(kept) ? kept : field.units[0] || "";
  }

  #nextUnit(field) {
    const next = (field.units.indexOf(this.#unit(field)) + 1) % field.units.length;
    remembered.set(`unit ${this.card.section} ${field.column}`, field.units[next]);
    this.draw();
  }
}
