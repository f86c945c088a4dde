// Keys for numbers, and the small helpers that every part of the page uses.

/** Return an element with properties and children; texts are set as text, never as markup. */
export function make(tag, properties = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(properties)) {
    if (name === "class") element.className = value;
    else if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name in element && typeof value !== "string") element[name] = value;
    else element.setAttribute(name, value);
  }
  element.append(...children.filter((child) => child !== null && child !== undefined));
  return element;
}

/** Return a button. */
export function button(text, press, properties = {}) {
  return make("button", { type: "button", onclick: press, ...properties }, text);
}

/** Return the number that comes of pressing one more key. */
export function pressed(number, key) {
  if (key === "back") return number.slice(0, -1);
  if (key === "sign") return number.startsWith("-") ? number.slice(1) : `-${number}`;
  if (key === ".") return number.includes(".") ? number : `${number === "" || number === "-" ? `${number}0` : number}.`;
  const digits = /^-?0$/.test(number) ? number.slice(0, -1) : number;
  return number.replace(/\D/g, "").length < 12 ? digits + key : number;
}

/** Return whether a number is whole enough to be written. */
export function isNumber(number, whole) {
  return (whole ? /^\d+$/ : /^-?\d+(\.\d+)?$/).test(number);
}

/** Return the key of the page that a key of a keyboard stands for, or "". */
export function keyOf(event) {
  if (/^[0-9.]$/.test(event.key)) return event.key;
  return { ",": ".", "-": "sign", Backspace: "back", Enter: "enter" }[event.key] || "";
}

/** Return the keys; `press` is told which one, `whole` leaves out the point and the sign. */
export function keypad(press, { whole, later }) {
  const key = (text, name, properties = {}) => button(text, () => press(name), properties);
  const rows = [
    ...["7", "8", "9"].map((digit) => key(digit, digit)), key("⌫", "back", { "aria-label": "delete the last digit" }),
    ...["4", "5", "6"].map((digit) => key(digit, digit)), key("±", "sign", { "aria-label": "sign", disabled: whole }),
    ...["1", "2", "3"].map((digit) => key(digit, digit)), key(".", ".", { "aria-label": "point", disabled: whole }),
    button("Later", later, { id: "later" }), key("0", "0"), key("Enter", "enter", { class: "go wide", id: "enter" }),
  ];
  return make("div", { class: "keys" }, ...rows);
}
