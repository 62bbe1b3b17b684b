// SPDX-License-Identifier: GPL-3.0-or-later

// Questions without a sweep: what a lean leaves, what a goal needs. The form is of a machine's keys.

// for those who have described none yet
const ANY_MACHINE = { unit: "mm", arm: "75", gauge: { kind: "gap", step: "0.05" }, cutter: { diameter: "22" },
  facing: { stepover: "10", along: "X" }, goal: { ridge: "0.02" } };

function showRidge(id) {
  const file = store.things.get(id)?.file;
  const form = screen("ridge", { units: file ? null : true, reply: true }).firstElementChild;
  form.dataset.id = id ?? "";
  fillForm(form, (name) => valueAt(file ?? ANY_MACHINE, name));
  const fit = () => {
    const unit = form.querySelector("[name=unit]:checked")?.value ?? unitOf(file);
    for (const one of form.querySelectorAll("[data-unit], [data-slope]"))
      one.dataset.u = one.hasAttribute("data-slope") ? word(`leanUnit-${unit}`) : unit;
  };
  form.addEventListener("change", fit);
  fit();
  show({ title: word("ridgeTitle"), under: file?.machine ?? word("ridgeUnder") }, form);
}

function askRidge(form) {
  const { mount, stock, ...file } = structuredCopy(store.things.get(form.dataset.id)?.file ?? ANY_MACHINE);
  const lean = { perpend: "1" }, box = form.querySelector("[data-slot=reply]");
  for (const field of form.querySelectorAll("[name]"))
    if (field.name.startsWith("lean."))
      setValue(lean, field.name.slice(5), field.value.trim());
    else if (field.type !== "radio" || field.checked)
      setValue(file, field.name, field.value.trim());
  const reply = core.ridge({ perpend: "1", ...file }, lean);
  complain(form, reply.error, reply.error ? [`lean.${reply.error.path}`, ...fieldsOf(reply.error)] : []);
  box.hidden = Boolean(reply.error);
  if (reply.error)
    return;
  box.replaceChildren(...(reply.needs ?? reply.text).split("\n").filter(Boolean).map((line) => {
    const [, what, much] = /^ {2}(\S.*?) {2,}(.*)$/.exec(line) ?? [];
    return what ? element("p", { class: "mach" }, element("span", {}, what), element("b", {}, much)) : element("p", {}, line);
  }));
  if (reply.chart) {
    const button = element("button", { class: "btn", type: "button" }, word("saveChart"));
    button.addEventListener("click", () => save(`${fileName(file.machine, "chart")}.svg`, reply.chart, "image/svg+xml"));
    box.append(element("figure", {}, svg(reply.chart)), button);
  }
  box.focus();
}
