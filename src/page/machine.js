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
  const form = screen("machine", { heading: word(machine ? "changeMachine" : "newMachine"), stock: true, joints: true }).firstElementChild;
  form.dataset.id = machine ? id : "";
  fillForm(form, (name) => valueAt(file, name), !machine);
  form.querySelector("[data-old]").hidden = !machine;
  // a mount that was not pointed at here stays as its file says
  const joints = machine?.joints ?? [{ shape: file.mount ? "kept" : machine && "none" }];
  for (const joint of joints)
    addJoint(form.querySelector("[data-slot=joints]"), joint, !machine);
  form.querySelector("[data-kept]").hidden = joints[0].shape !== "kept";
  for (const leaf of file.stock ?? [{ thick: "", count: "", name: "" }])
    addStock(form.querySelector("[data-slot=stock]"), leaf);
  form.addEventListener("change", () => fitMachineForm(form));
  fitMachineForm(form);
  show({ title: word(machine ? "changeMachine" : "newMachine"), under: word("changeable") }, form);
}

function fillForm(part, valueOf, usual) {
  for (const field of part.querySelectorAll("[name]")) {
    const value = valueOf(field.name);
    if (field.type === "radio")
      field.checked = value === undefined ? field.defaultChecked : field.value === value;
    else
      field.value = value ?? (usual ? field.dataset.usual : undefined) ?? "";
  }
}

function addJoint(list, joint, usual) {
  const at = list.children.length;
  const part = screen("joint", { legend: word(at === 0 ? "whatHolds" : "whatElse"), point: at === 0 ? true : null }).firstElementChild;
  fillForm(part, (name) => joint[name], usual);
  for (const field of part.querySelectorAll("[name]"))
    field.name = `joints.${at}.${field.name}`;
  list.append(part);
}

function moreJoints(button) {
  addJoint(button.previousElementSibling, { shape: "none" }, true);
  fitMachineForm(button.form);
  button.previousElementSibling.lastElementChild.querySelector("input").focus();
}

function addStock(stock, leaf) {
  const row = screen("stock"), at = stock.children.length;
  for (const field of row.querySelectorAll("[data-key]")) {
    field.name = `stock.${at}.${field.dataset.key}`;
    field.value = leaf[field.dataset.key] ?? "";
  }
  stock.append(row);
}

// Show the fields that each shape and this gauge have, in this unit.
function fitMachineForm(form) {
  const chosen = (part, name) => part.querySelector(`[name="${name}"]:checked`)?.value;
  [...form.querySelectorAll("[data-slot=joints] > *")].forEach((joint, i) => {
    for (const part of joint.querySelectorAll("[data-for]"))
      part.hidden = !part.dataset.for.split(" ").includes(chosen(joint, `joints.${i}.shape`));
  });
  for (const part of form.querySelectorAll("[data-gauge]"))
    part.hidden = !part.dataset.gauge.split(" ").includes(chosen(form, "gauge.kind"));
  for (const unit of form.querySelectorAll("[data-unit]"))
    unit.dataset.u = chosen(form, "unit");
}

function readMachineForm(form, machine) {
  const file = { perpend: "1", ...structuredCopy(machine?.file ?? {}) }, joints = [];
  delete file.stock;
  for (const field of form.querySelectorAll("[name]")) {
    const [kind, at, key] = field.name.split("."), value = field.closest("[hidden]") ? "" : field.value.trim();
    if ((field.type === "radio" && !field.checked) || kind === "stock")
      continue;
    if (kind !== "joints")
      setValue(file, field.name, value);
    else if (value !== "")
      (joints[at] ??= {})[key] = value;
  }
  const leaves = [...form.querySelectorAll(".leaf")].map((leaf) => Object.fromEntries(
    [...leaf.querySelectorAll("[data-key]")].map((field) => [field.dataset.key, field.value.trim()])
      .filter(([, value]) => value !== "")));
  if (leaves.some((leaf) => Object.keys(leaf).length > 0))
    file.stock = leaves.filter((leaf) => Object.keys(leaf).length > 0);
  return { file, joints };
}

// A flange lies, hangs or rests on screws: one drawing, three shapes.
function mountOf(file, joints) {
  const shaped = joints.filter(({ shape }) => shape !== "none");
  if (shaped.length === 0)
    return {};
  return core.mount({ perpend: "1", unit: unitOf(file), joints: shaped.map(({ lies, ...joint }) => ({ ...joint, shape: lies ?? joint.shape })) });
}

async function keepMachine(form) {
  const old = store.things.get(form.dataset.id);
  const { file, joints } = readMachineForm(form, old), kept = joints[0]?.shape === "kept";
  const mount = kept ? file : mountOf(file, joints);
  if (mount.error)
    return void complain(form, mount.error, fieldsOf(mount.error));
  delete file.mount;
  if (mount.mount)
    file.mount = mount.mount;
  const { error } = core.answer(file, null);
  if (error)
    return void complain(form, error, fieldsOf(error));
  const machine = { ...(old ?? store.make("machine", {})), file, joints: kept ? undefined : joints };
  store.things.set(machine.id, machine);
  if ((await keep(machine)) === "changed")
    return render();
  await changeOpenJobs(machine.id, file);
  old ? go("home") : startJob(machine.id);
}

// Where an error's value is in the form: at its path; at the key under it that is missing, with which the text
// begins; where a shape gave a bolt its value, at that.
function fieldsOf({ path, text }) {
  const missing = text.replace(/^.*: /, "").split(" ")[0], keys = path.split(".");
  const near = keys.map((_, i) => [...keys.slice(0, i), missing].join(".")).reverse();
  const joint = keys[0] === "mount" ? [`joints.${keys[1]}.${keys.at(-1)}`, `joints.${keys[1]}.${missing}`, `joints.${keys[1] ?? 0}.shape`] : [];
  return [path, `${path}.${missing}`, ...near, ...joint, ...["machine"].filter(() => path === "")];
}

// A job that is still open goes on with the machine as it is now, if it can.
async function changeOpenJobs(id, file) {
  for (const job of store.list("job"))
    if (job.machine === id && !job.ended && (job.file.sweeps.length === 0 || !core.answer(file, job.file).error))
      await keep({ ...job, machineFile: file });
}

const structuredCopy = (value) => JSON.parse(JSON.stringify(value));
