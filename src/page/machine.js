// SPDX-License-Identifier: GPL-3.0-or-later

// The machine: a form over the keys of its file. A field's name is the path of its key; what perpend's
// readers find wrong there is said at the field.

// Some keys take a value alone or a mapping with it.
const MAPPINGS = { arm: "length", bed: "kind" };

function valueAt(file, path) {
  const value = path.split(".").reduce((at, key) => at?.[key], file);
  return typeof value === "object" && value !== null ? value[MAPPINGS[path]] : value;
}

function setValue(file, path, value) {
  const keys = path.split("."), last = keys.pop();
  const into = keys.reduce((at, key) => (at[key] ??= {}), file);
  if (value === "") {
    delete into[last];
    if (keys.length > 0 && Object.keys(into).length === 0)
      delete file[keys[0]];
  } else if (typeof into[last] === "object" && MAPPINGS[path]) {
    into[last][MAPPINGS[path]] = value;
  } else {
    into[last] = value;
  }
}

const machineName = (machine) => machine.file.machine || word("noName");
const unitOf = (file) => file.unit ?? "mm";

function showMachine(id) {
  const machine = store.things.get(id);
  const file = machine?.file ?? { unit: "mm" };
  const form = screen("machine", { heading: word(machine ? "changeMachine" : "newMachine"), stock: true }).firstElementChild;
  form.dataset.id = machine ? id : "";
  for (const field of form.querySelectorAll("[name]")) {
    const value = field.name === "lies" ? machine?.shape?.lies
      : field.name.startsWith("shape.") ? machine?.shape?.[field.name.slice(6)] : valueAt(file, field.name);
    if (field.type === "radio")
      field.checked = value === undefined ? field.defaultChecked : field.value === value;
    else if (value !== undefined)
      field.value = value;
    else if (!machine)
      field.value = field.dataset.usual ?? "";
  }
  const kept = form.querySelector("[data-kept]");
  kept.hidden = !machine || !file.mount || Boolean(machine.shape);
  if (!kept.hidden)
    kept.querySelector("input").checked = true;
  if (machine && !file.mount)
    form.querySelector("[value=none]").checked = true;
  form.querySelector("[data-old]").hidden = !machine;
  const stock = form.querySelector("[data-slot=stock]");
  for (const leaf of file.stock ?? [{ thick: "", count: "", name: "" }])
    addStock(stock, leaf);
  form.addEventListener("change", () => fitMachineForm(form));
  fitMachineForm(form);
  show({ title: word(machine ? "changeMachine" : "newMachine"), under: word("changeable") }, form);
}

function addStock(stock, leaf) {
  const row = screen("stock"), at = stock.children.length;
  for (const field of row.querySelectorAll("[data-key]")) {
    field.name = `stock.${at}.${field.dataset.key}`;
    field.value = leaf[field.dataset.key] ?? "";
  }
  stock.append(row);
}

// Show the fields that this shape and this gauge have, in this unit.
function fitMachineForm(form) {
  const chosen = (name) => form.querySelector(`[name="${name}"]:checked`)?.value;
  for (const part of form.querySelectorAll("[data-for]"))
    part.hidden = !part.dataset.for.split(" ").includes(chosen("shape.shape"));
  for (const part of form.querySelectorAll("[data-gauge]"))
    part.hidden = !part.dataset.gauge.split(" ").includes(chosen("gauge.kind"));
  for (const unit of form.querySelectorAll("[data-unit]"))
    unit.dataset.u = chosen("unit");
}

function readMachineForm(form, machine) {
  const file = { perpend: "1", ...structuredCopy(machine?.file ?? {}) };
  const shape = {};
  delete file.stock;
  for (const field of form.querySelectorAll("[name]")) {
    const hidden = field.closest("[hidden]");
    const value = hidden ? "" : field.value.trim();
    if ((field.type === "radio" && !field.checked) || field.name === "lies" || field.name.startsWith("stock."))
      continue;
    if (!field.name.startsWith("shape."))
      setValue(file, field.name, value);
    else if (value !== "")
      shape[field.name.slice(6)] = value;
  }
  if (shape.shape === "flange")
    shape.lies = form.querySelector("[name=lies]:checked").value;
  const leaves = [...form.querySelectorAll(".leaf")].map((leaf) => Object.fromEntries(
    [...leaf.querySelectorAll("[data-key]")].map((field) => [field.dataset.key, field.value.trim()])
      .filter(([, value]) => value !== "")));
  if (leaves.some((leaf) => Object.keys(leaf).length > 0))
    file.stock = leaves.filter((leaf) => Object.keys(leaf).length > 0);
  return { file, shape };
}

// A flange lies or hangs: one drawing, two shapes.
function mountOf(file, { lies, ...shape }) {
  if (shape.shape === "kept")
    return { keep: true };
  if (shape.shape === "none")
    return {};
  return core.mount({ perpend: "1", unit: unitOf(file), ...shape, shape: lies ?? shape.shape });
}

async function keepMachine(form) {
  const old = store.things.get(form.dataset.id);
  const { file, shape } = readMachineForm(form, old);
  const mount = mountOf(file, shape);
  if (mount.error)
    return void complain(form, mount.error, [`shape.${mount.error.path}`, `shape.${mount.error.text.split(" ")[0]}`, "shape.shape"]);
  if (!mount.keep) {
    delete file.mount;
    if (mount.mount)
      file.mount = mount.mount;
  }
  const { error } = core.answer(file, null);
  if (error)
    return void complain(form, error, fieldsOf(error));
  const machine = { ...(old ?? store.make("machine", {})), file, shape: mount.keep ? undefined : shape };
  store.things.set(machine.id, machine);
  if ((await keep(machine)) === "changed")
    return render();
  await changeOpenJobs(machine.id, file);
  old ? go("home") : startJob(machine.id);
}

// Where an error's value is in the form: its path, its last key as one of the shape, the missing key that
// the text begins with.
function fieldsOf({ path, text }) {
  const missing = text.replace(/^.*: /, "").split(" ")[0];
  return [path, `${path}.${missing}`, missing, `shape.${path.split(".").pop()}`, `shape.${missing}`,
    `${path.split(".")[0]}.${missing}`, ...["machine", "arm"].filter(() => path === "")].map((name) => name.replace(/^\./, ""));
}

// A job that is still open goes on with the machine as it is now, if it can.
async function changeOpenJobs(id, file) {
  for (const job of store.list("job"))
    if (job.machine === id && !job.ended && (job.file.sweeps.length === 0 || !core.answer(file, job.file).error))
      await keep({ ...job, machineFile: file });
}

const structuredCopy = (value) => JSON.parse(JSON.stringify(value));
