// SPDX-License-Identifier: GPL-3.0-or-later

// The answer and the bolts: what perpend says and draws, set on the screen.

const answerOf = (job) => (job.file.sweeps.length > 0 ? core.answer(job.machineFile, job.file) : { needs: null });

const band = (reply) => (reply.doubtful ? "doubt" : { met: "goal", "not met": "now" }[reply.rounds.at(-1).verdict] ?? "doubt");

const paragraphs = (text) => text.split("\n").filter(Boolean).map((line) => element("p", {}, line));

const marks = { goal: "metMark", now: "notMark", doubt: "doubtMark" };

function showAnswer(job) {
  const reply = answerOf(job);
  if (!reply.solution)
    return go(`job/${job.id}/sweep`);
  const { say: said, pictures } = reply, look = band(reply);
  const last = lastSweep(job), { verdict } = reply.rounds.at(-1), plain = last.did === undefined && !reply.doubtful;
  const page = screen("answer", {
    band: true, mark: [...drawing(marks[look]).childNodes], head: said.head, verdict: said.verdict,
    findings: said.findings && paragraphs(said.findings),
    again: reply.doubtful ? readingsOf(last).map((reading) => screen("again", {
      reading: `${word(`at-${reading.at}`)} ${reading.reading}`, go_href: `#job/${job.id}/sweep/${reading.at}` })) : null,
    unknown: plain && verdict === "unknown" ? true : null, close: plain && verdict === "too close" ? true : null, settle: said.settle,
    lean_picture: svg(pictures.lean), floor_picture: svg(pictures.floor), more: said.more && paragraphs(said.more),
    text: reply.text,
    ways: ways(job, reply),
  });
  page.querySelector("[data-slot=band]").classList.add(look);
  showJob(job, "answer", page);
}

function ways(job, reply) {
  const way = (where, key, main) =>
    element("a", { class: `btn${main ? " main" : ""}`, href: `#job/${job.id}/${where}` }, word(key));
  if (reply.say.steps && !["met", "unknown"].includes(reply.rounds.at(-1).verdict))
    return [way("record", "toRecord"), way("bolts", "toBolts", true)];
  return [way("sweep", "toSweep"), way("record", "toRecord", true)];
}

// Each numbered step, and the lines that belong to it.
const stepsOf = ({ steps }) => (steps ?? "").split(/^ *\d+\. /m).slice(1).map((step) => step.split("\n").map((line) => line.trim()).filter(Boolean));

function showBolts(job) {
  const reply = answerOf(job), did = lastSweep(job)?.did;
  if (!reply.solution)
    return go(`job/${job.id}/sweep`);
  if (did !== undefined)
    return showDone(job, did);
  const { say: said } = reply, steps = stepsOf(said), planned = steps.length > 0;
  const page = screen("bolts", {
    worse: planned ? null : said.worse, mount: reply.pictures.mount.map((picture) => element("figure", {}, svg(picture))),
    steps: steps.map(([step, ...rest]) => element("li", {}, element("label", {}, element("input", { type: "checkbox" }),
      element("span", {}, step, rest.map((line) => element("span", { class: "more" }, line)))))),
    shortfall: said.shortfall, next: planned ? said.next : null, other: job.machineFile.mount ? true : null,
    amounts: amounts(job, reply), wrong: true, act: planned ? true : null,
  });
  for (const unit of page.querySelectorAll("[data-unit]"))
    unit.dataset.u = unitOf(job.machineFile);
  showJob(job, "bolts", page);
}

// A field for every amount that a bolt can get, with what was planned for it.
function amounts(job, reply) {
  return (job.machineFile.mount ?? []).flatMap(({ joint, allows, bolts }) => [allows].flat().flatMap((allowed) =>
    reply.moves.filter(({ move }) => move === allowed).flatMap(({ key, parts, whole }) => (whole ? [{}] : bolts).map(({ name: bolt }) => {
      const plan = reply.planned.find((one) => one.joint === joint && one.bolt === bolt && one[key] !== undefined);
      const values = plan ? [plan[key]].flat() : [];
      const fields = Array.from({ length: parts }, (_, i) => element("input", {
        class: "num", type: "text", inputmode: "decimal", autocomplete: "off", "data-joint": joint, "data-bolt": bolt ?? "",
        "data-key": key, value: values[i] ?? "", "aria-label": word(parts > 1 ? "amountPart" : "amount", {
          bolt: bolt ?? joint, joint, move: word(`move-${key}`), side: word(`part-${i}`) }),
      }));
      return element("div", { class: parts > 1 ? "row three" : "row" },
        element("span", {}, bolt ?? joint, element("em", {}, `${joint}, ${word(`move-${key}`)}`)), fields);
    }))));
}

function showDone(job, did) {
  const list = Array.isArray(did) ? did.map(({ joint, bolt, ...amount }) =>
    element("li", {}, Object.entries(amount).map(([key, value]) =>
      `${bolt ?? joint}: ${word(`move-${key}`)} ${[value].flat().join(", ")}`).join("; "))) : null;
  showJob(job, "bolts", screen("done", {
    what: list ? null : word(did === "plan" ? "didPlan" : "didNothing"), list, sweep_href: `#job/${job.id}/sweep`,
    undo: job.file.sweeps.length > 0 ? word("takeBack") : null,
  }));
}

async function finishRound(did, form) {
  const job = structuredCopy(currentJob());
  lastSweep(job).did = did;
  const reply = core.answer(job.machineFile, job.file);
  if (reply.error) {
    const [, , , entry] = reply.error.path.split(".");
    const at = Array.isArray(did) ? did[entry] : undefined;
    form.querySelector("[data-slot=wrong]").textContent = `${at ? `${at.bolt ?? at.joint}: ` : ""}${reply.error.text}`;
    return;
  }
  const { id } = job;
  await keep({ ...job, draft: undefined });
  go(`job/${id}/sweep`);
}

async function didPlan() {
  const { planned } = answerOf(currentJob());
  await finishRound(planned.length > 0 ? planned : "plan");
}

const didNothing = () => finishRound("nothing");

async function didOther(form) {
  const did = new Map();
  for (const field of form.querySelectorAll("[data-joint]")) {
    const { joint, bolt, key } = field.dataset, name = `${joint}\0${bolt}\0${key}`;
    did.set(name, [...(did.get(name) ?? []), field.value.trim()]);
  }
  const list = [...did].filter(([, values]) => values.some((value) => value !== "")).map(([name, values]) => {
    const [joint, bolt, key] = name.split("\0");
    return { joint, ...(bolt && { bolt }), [key]: values.length === 1 ? values[0] : values.map((value) => value || "0") };
  });
  await finishRound(list.length > 0 ? list : "nothing", form);
}

// The same sweep once more: together they are surer.
function repeat() {
  const job = currentJob(), { first, count } = placesOf(job);
  store.things.set(job.id, { ...job, draft: { name: word("againName", { name: job.file.sweeps[first].name, count }) } });
  go(`job/${job.id}/sweep`);
}

// What was read on another bed stays as it was; the sweep begins anew.
async function bedIs(button) {
  const job = currentJob(), { bed } = button.dataset, machine = structuredCopy(store.things.get(job.machine));
  if (job.file.sweeps.length > 0)
    await keep({ ...job, draft: undefined, ended: true });
  setValue(machine.file, "bed", bed);
  if (bed === "faced")
    await keep(machine);
  startJob(job.machine, machine.file);
}

async function undoDid() {
  const job = structuredCopy(currentJob());
  delete lastSweep(job).did;
  await keep({ ...job, draft: undefined });
  go(`job/${job.id}/answer`);
}
