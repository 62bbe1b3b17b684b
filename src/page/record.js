// SPDX-License-Identifier: GPL-3.0-or-later

// The record, and files out and in.

function showRecord(job) {
  const reply = answerOf(job);
  if (!reply.solution)
    return go(`job/${job.id}/sweep`);
  const earlier = store.list("job").filter((other) => other.id !== job.id && other.file.date > job.file.date && (other.order ?? 0) < (job.order ?? Infinity));
  const page = screen("record", {
    head: [reply.say.head, reply.say.verdict].filter(Boolean).join(": "),
    rounds: reply.rounds.map((round, i) => element("li", {}, element("div", { class: "h" }, element("i", {}, String(i + 1)),
      element("span", {}, round.sweeps), element("b", { class: "r" }, round.ridge)))),
    clock: earlier.length > 0 ? word("clockBack") : null, wrong: true, end: word(job.ended ? "openAgain" : "jobDone"),
  });
  for (const field of page.querySelectorAll("[name]")) {
    field.value = valueAt(job.file, field.name) ?? "";
    field.addEventListener("change", () => (keeping = keepField(field)));
  }
  showJob(job, "record", page);
}

// What is being kept; whoever takes the job out waits for it.
let keeping = Promise.resolve();

async function keepField(field) {
  const job = structuredCopy(currentJob());
  setValue(job.file, field.name, field.value.trim());
  const { error } = core.answer(job.machineFile, job.file);
  complain(field.form, error, error ? [error.path] : []);
  if (!error)
    await keep(job);
}

async function endJob() {
  await keeping;
  const job = currentJob();
  await keep({ ...job, ended: !job.ended });
  go(job.ended ? `job/${job.id}/answer` : "home");
}

function recordOf(job) {
  return JSON.parse(core.ask("page_record", written(job.machineFile).text, written(job.file).text)).record;
}

const jobFileName = (job, ...more) => fileName(job.machineFile.machine, job.file.date?.slice(0, 10), ...more);

async function saveRecord() {
  await keeping;
  const job = currentJob();
  save(`${jobFileName(job)}.html`, recordOf(job), "text/html");
}

async function print_() {
  await keeping;
  window.print();
}

// On paper a job is its record, which is a page of its own: with its style in place of this one's.
function layOut() {
  const job = currentJob();
  if (job?.kind !== "job" || !answerOf(job).solution)
    return;
  const record = new DOMParser().parseFromString(recordOf(job), "text/html");
  const style = element("style", {}, [...record.querySelectorAll("style")].map((one) => one.textContent).join("\n"));
  document.getElementById("style").media = "screen";
  document.getElementById("print").replaceChildren(style, ...[...record.body.childNodes].map((node) => document.importNode(node, true)));
  style.media = "print";
}

function putBack() {
  document.getElementById("style").media = "";
  document.getElementById("print").replaceChildren();
}

async function exportJob() {
  await keeping;
  const job = currentJob();
  save(`${fileName(job.machineFile.machine)}.yaml`, written(job.machineFile).text, "application/yaml");
  save(`${jobFileName(job, "job")}.yaml`, written(job.file).text, "application/yaml");
}

function exportMachine(button) {
  const { id, file } = store.things.get(button.dataset.id);
  save(`${fileName(file.machine)}.yaml`, written(file).text, "application/yaml");
  for (const job of store.list("job").filter(({ machine, file }) => machine === id && file.sweeps.length > 0))
    save(`${jobFileName(job, "job", job.id)}.yaml`, written(job.file).text, "application/yaml");
}

async function forgetJob(button) {
  if (!sure(button))
    return;
  if ((await store.forget(currentJob())) === "changed")
    notice("changedElsewhere");
  go("home");
}

async function forgetMachine(button) {
  if (!sure(button))
    return;
  const id = button.closest("form").dataset.id;
  for (const thing of [...store.list("job").filter((job) => job.machine === id), store.things.get(id)])
    if ((await store.forget(thing)) === "changed")
      notice("changedElsewhere");
  go("home");
}

// Asked once more before something is forgotten.
function sure(button) {
  if (button.dataset.sure)
    return true;
  button.dataset.sure = "yes";
  button.textContent = word("sure");
  return false;
}

// ---- a copy of everything, and back ----

// Machine and job files, one behind the other. What the page knows beside them is a comment before each.
const ASIDE = "# perpend page: ";

function copyAll() {
  const documents = [...store.things.values()].filter(({ file }) => file)
    .sort((a, b) => (a.kind === "job") - (b.kind === "job")).map(({ unkept, file, ...aside }) => `---\n${ASIDE}${JSON.stringify(aside)}\n${written(file).text}`);
  save(`${fileName("perpend", "copy", today())}.yaml`, documents.join(""), "application/yaml");
  try {
    localStorage.setItem("perpend-copied", today());
  } catch { /* only the date is not remembered */ }
}

async function bring(field) {
  let machine = null;
  for (const file of field.files) {
    const documents = (await file.text()).split(/^---[ \t]*\r?\n/m).filter((text) => text.trim());
    const copied = documents.filter((text) => text.startsWith(ASIDE));
    for (const text of documents.filter((text) => !copied.includes(text)))
      machine = (await bringOne(file.name, text, machine)) ?? machine;
    if (copied.length > 0)
      await bringCopy(file.name, copied);
  }
  field.value = "";
  render();
}

async function bringOne(name, text, machine) {
  let { error, file } = core.read(text, null);
  for (const one of error ? store.list("machine") : []) {
    ({ error, file } = core.read(text, one.file));
    if (!error)
      break;
  }
  if (error)
    return void notice("notRead", { name, text: error.text });
  if (file.sweeps)
    return bringJob(name, file, machine);
  ({ error } = core.answer(file, null));
  if (error)
    return void notice("notRead", { name, text: `${error.path}: ${error.text}` });
  const thing = store.make("machine", { file });
  await keep(thing);
  notice("broughtMachine", { name: machineName(thing) });
  return thing;
}

// A job goes to the machine that came with it, else to the first whose bolts it knows.
async function bringJob(name, file, machine) {
  const machines = machine ? [machine] : store.list("machine");
  const its = machines.find((one) => !core.answer(one.file, file).error);
  if (!its)
    return void notice("notRead", { name, text: machines.length > 0 ? core.answer(machines[0].file, file).error.text : word("machineFirst") });
  const bearings = Math.max(...file.sweeps.map((sweep) => readingsOf(sweep).length)) > 4 ? 8 : 4;
  const job = store.make("job", { machine: its.id, machineFile: its.file, file, bearings });
  await keep(summed(job, core.answer(its.file, file)));
  notice("broughtJob", { name: machineName(its) });
}

// What is here already stays as it is; another state of it comes in beside it.
async function bringCopy(name, documents) {
  let count = 0;
  for (const text of documents) {
    const { error, file } = core.read(text, null);
    let aside = null;
    try {
      aside = JSON.parse(text.slice(ASIDE.length, text.indexOf("\n")));
    } catch { /* said below */ }
    if (error || !aside) {
      notice("notRead", { name, text: error?.text ?? word("copyBroken") });
      continue;
    }
    const here = store.things.get(aside.id);
    if (!["machine", "job"].includes(aside.kind) || !(aside.format <= FORMAT) || (here && here.revision >= aside.revision))
      continue;
    count++;
    await keep({ ...aside, file, id: here ? store.make("").id : aside.id, revision: 0 });
  }
  notice("broughtCopy", { count });
}
