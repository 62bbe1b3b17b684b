// SPDX-License-Identifier: GPL-3.0-or-later

// Screens: copies of the templates in page.html, with their slots filled. All words stand there.

const word = (key, slots = {}) =>
  document.querySelector(`#t-words`).content.querySelector(`[data-word=${key}]`).textContent
    .replace(/\{(\w+)\}/g, (_, slot) => slots[slot] ?? "");
const drawing = (key) =>
  document.querySelector("#t-words").content.querySelector(`[data-word=${key}]`).firstElementChild.cloneNode(true);

// A template's copy. A slot takes a text, a node or a list of nodes; null takes its element away. What
// perpend draws is SVG of its own making, names in it escaped, and goes in by `svg`.
function screen(template, slots = {}) {
  const copy = document.getElementById(`t-${template}`).content.cloneNode(true);
  for (const element of copy.querySelectorAll("[data-href]"))
    element.href = slots[`${element.dataset.href}_href`] ?? "#home";
  for (const element of copy.querySelectorAll("[data-slot]")) {
    const value = slots[element.dataset.slot];
    if (value === null || value === undefined || value === "")
      element.remove();
    else if (value !== true)
      element.replaceChildren(...[value].flat());
  }
  return copy;
}

function element(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes))
    if (value !== null && value !== undefined)
      made.setAttribute(name, value);
  made.append(...children.flat().filter((child) => child !== null && child !== undefined));
  return made;
}

function svg(text) {
  if (!text)
    return null;
  const parsed = new DOMParser().parseFromString(text.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" '),
    "image/svg+xml").documentElement;
  return parsed.nodeName === "svg" ? document.importNode(parsed, true) : null;
}

// What was just done, for those who listen; what must be known, until it is put away.
function say(text) {
  document.getElementById("said").textContent = text;
}

function notice(key, slots, act) {
  const box = document.getElementById("notices");
  const text = word(key, slots);
  if ([...box.children].some((one) => one.dataset.text === text))
    return;
  const one = element("div", { class: "notice", "data-text": text }, element("p", {}, text));
  if (act)
    one.append(element("button", { class: "btn", "data-do": act }, word(act)));
  one.append(element("button", { class: "btn plain", "data-do": "putAway" }, word("putAway")));
  box.append(one);
}

// Say at its field what the readers found there; value: whether there is such a field.
function complain(form, error, names) {
  for (const old of form.querySelectorAll("[aria-invalid]")) {
    old.removeAttribute("aria-invalid");
    old.removeAttribute("aria-describedby");
  }
  for (const old of form.querySelectorAll(".wrong:not([data-slot]):not(#wrong)"))
    old.remove();
  if (!error)
    return true;
  const field = names.map((name) => [...form.querySelectorAll(`[name="${CSS.escape(name)}"]`)]
    .find((one) => !one.closest("[hidden]"))).find(Boolean);
  if (!field)
    return false;
  const id = `wrong-${field.name.replace(/\W/g, "-")}`;
  field.setAttribute("aria-invalid", "true");
  field.setAttribute("aria-describedby", id);
  (field.closest(".seg, .tiles, .row, .leaf, label") ?? field)
    .after(element("p", { class: "wrong", id, role: "alert" }, error.text));
  field.focus();
  return true;
}

function save(name, text, type) {
  const link = element("a", { href: URL.createObjectURL(new Blob([text], { type })), download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

const fileName = (...parts) =>
  parts.filter(Boolean).join("-").toLowerCase().replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-|-$/g, "") || "perpend";
