// SPDX-License-Identifier: GPL-3.0-or-later

// The sweep: bearings on the compass, a reading each, kept one by one.

const FOUR = ["front", "right", "back", "left"];
const EIGHT = ["front", "front-right", "right", "back-right", "back", "back-left", "left", "front-left"];

const lastSweep = (job) => job.file.sweeps.at(-1);
const sweepDone = (sweep) => sweep === undefined || sweep.did !== undefined;
// the sweep at hand: the last one, or a draft, which goes into the file with its first reading
const draftOf = (job) => job.draft ?? (sweepDone(lastSweep(job)) ? { name: nextName(job) } : null);
const sweepAt = (job) => (draftOf(job) ? { ...draftOf(job), readings: [] } : lastSweep(job));
const bearingsOf = (job) => (job.bearings === 8 ? EIGHT : FOUR);
// a sweep may be a test cut alone
const readingsOf = (sweep) => sweep.readings ?? [];
const readingAt = (sweep, at) => readingsOf(sweep).find((reading) => reading.at === at);
const unread = (job) => bearingsOf(job).filter((at) => !readingAt(sweepAt(job), at));
const bedOf = (file) => valueAt(file, "bed") ?? "faced";

function nextName(job) {
  const rounds = job.file.sweeps.filter((sweep) => sweep.did !== undefined).length;
  return rounds === 0 ? word("asFound") : word("sweepNumber", { number: rounds + 1 });
}

// The sweeps of the measurement at hand, at places of their own, and how many there are before it.
function placesOf(job) {
  let first = job.file.sweeps.length;
  while (first > 0 && job.file.sweeps[first - 1].did === undefined)
    first--;
  return { first, count: job.file.sweeps.length - first + (draftOf(job) ? 1 : 0) };
}

const wantsPlaces = (job) => bedOf(job.machineFile) === "as found" && placesOf(job).first === 0;

function expectedOf(job) {
  const { first } = placesOf(job);
  if (first === 0)
    return {};
  const { expected } = core.answer(job.machineFile, { ...job.file, sweeps: job.file.sweeps.slice(0, first) });
  return Object.fromEntries((expected ?? []).map(({ at, reading }) => [at, reading]));
}

function showSweep(job, wanted) {
  const sweep = sweepAt(job), left = unread(job), all = left.length === 0;
  const at = bearingsOf(job).includes(wanted) ? wanted : left[0] ?? null;
  const expected = expectedOf(job);
  const found = wantsPlaces(job), places = placesOf(job).count;
  const kind = job.machineFile.gauge.kind;
  const ask = (key) => document.getElementById("t-asks").content.querySelector(`[data-ask=${key}]`).textContent;
  const nothing = job.file.sweeps.length === 0;
  const after = (all || nothing) && screen("after", {
    glass: nothing && found ? true : null,
    answer: all ? true : null,
    answer_href: `#job/${job.id}/answer`,
    next: all && found && places < 3 ? true : null,
    eight: nothing ? word(job.bearings === 8 ? "four" : "eight") : null,
  });
  const page = screen("sweep", {
    care: nothing ? true : null,
    compass: compass(job, sweep, at, expected),
    places: found ? true : null,
    place: word("placeOf", { place: places }),
    ask: at ? ask(readingsOf(sweep).length === 0 ? "start" : "turn") + word(`at-${at}`) : ask("full"),
    how: at ? ask(kind) : null,
    at: at ? word(`at-${at}`) : true,
    beside: readingAt(sweep, at) ? word("again") : true,
    unit: unitOf(job.machineFile),
    after: after || null,
  });
  const field = page.getElementById("value");
  page.querySelector("form").hidden = !at;
  field.dataset.at = at ?? "";
  field.setAttribute("aria-label", at ? word("readingAt", { at: word(`at-${at}`), unit: unitOf(job.machineFile) }) : "");
  field.value = at ? readingAt(sweep, at)?.reading ?? "" : "";
  for (const name of found ? ["x", "y"] : [])
    page.querySelector(`[name=${name}]`).value = sweep[name] ?? "";
  for (const unit of page.querySelectorAll("[data-unit]"))
    unit.dataset.u = unitOf(job.machineFile);
  showJob(job, "sweep", page);
  if (at)
    field.focus({ preventScroll: true });
}

// One button a bearing, the arm pointing to the one that is asked for.
function compass(job, sweep, at, expected) {
  const picture = drawing("compass"), bearings = bearingsOf(job);
  picture.setAttribute("aria-hidden", "true");
  const arm = picture.querySelector("[data-arm]");
  const turn = { back: 0, "back-right": 45, right: 90, "front-right": 135, front: 180, "front-left": 225, left: 270, "back-left": 315 };
  arm.style.transform = `rotate(${turn[at ?? bearings.at(-1)]}deg)`;
  return [picture, ...bearings.map((bearing) => {
    const reading = readingAt(sweep, bearing), current = bearing === at;
    const state = reading ? (isKept(job, bearing, reading) ? "kept" : "unkept") : "todo";
    return element("button", {
      class: `pt ${bearing} ${state}${current ? " cur" : ""}${bearings.length > 4 ? " small" : ""}`, type: "button",
      "data-do": "bearing", "data-at": bearing, "aria-pressed": String(current),
    }, element("span", {}, word(`at-${bearing}`)),
    element("b", {}, reading ? [reading.reading, state === "kept" ? mark(word("kept")) : word("notKept")] : "–"),
    reading && expected[bearing] !== undefined ? element("small", {}, word("expected", { reading: expected[bearing] })) : null);
  }), element("p", { class: "stand" }, word("youStand"))];
}

function isKept(job, at, { reading }) {
  const sweep = job.unkept?.file?.sweeps[job.file.sweeps.length - 1];
  return !job.unkept || (sweep && readingAt(sweep, at)?.reading === reading);
}

function mark(name) {
  const tick = drawing("tick");
  tick.setAttribute("role", "img");
  tick.setAttribute("aria-label", name);
  return tick;
}

// The job with one reading more, or another in its place.
function withReading(job, at, reading) {
  const file = structuredCopy(job.file), draft = draftOf(job);
  if (draft)
    file.sweeps.push({ ...draft, readings: [] });
  const sweep = file.sweeps.at(-1), old = readingAt(sweep, at);
  if (old)
    old.reading = reading;
  else
    sweep.readings = [...readingsOf(sweep), { at, reading }];
  return { ...job, file, draft: undefined };
}

async function keepReading(form) {
  const job = currentJob(), field = form.querySelector("#value"), at = field.dataset.at;
  const reading = field.value.trim(), wrong = document.getElementById("wrong");
  const next = withReading(job, at, reading);
  const reply = core.answer(next.machineFile, next.file);
  wrong.textContent = reply.error?.text ?? "";
  field.toggleAttribute("aria-invalid", Boolean(reply.error));
  if (reply.error) {
    field.setAttribute("aria-describedby", "wrong");
    return field.focus();
  }
  const outcome = await keep(summed(next, reply));
  say(word(outcome === "kept" ? "isKept" : "isNotKept", { at: word(`at-${at}`), reading }));
  const now = store.things.get(job.id);
  if (outcome !== "changed" && unread(now).length === 0 && !needsPlaces(now))
    go(`job/${job.id}/answer`);
  else
    showSweep(now);
}

const needsPlaces = (job) => wantsPlaces(job) && placesOf(job).count < 3;

// What the list of jobs shows of it.
function summed(job, reply) {
  if (!reply.solution)
    return job;
  const last = reply.rounds.at(-1);
  return { ...job, summary: { head: reply.say.head, verdict: last.verdict, ridge: last.ridge, from: reply.rounds[0].ridge } };
}

// On a bed as found: the carriage goes on, and says where it stands.
function nextPlace() {
  const job = currentJob(), { first, count } = placesOf(job);
  const name = word("placeName", { name: job.file.sweeps[first].name, place: count + 1 });
  store.things.set(job.id, { ...job, draft: { name, x: "", y: "" } });
  if (location.hash.endsWith("/sweep"))
    showSweep(currentJob());
  else
    go(`job/${job.id}/sweep`);
  document.querySelector("[name=x]")?.focus();
}

async function place(field) {
  const job = structuredCopy(currentJob()), value = field.value.trim();
  (job.draft ?? lastSweep(job))[field.name] = value;
  store.things.set(job.id, { ...currentJob(), draft: job.draft });
  if (job.draft)
    return;
  const reply = core.answer(job.machineFile, job.file);
  document.getElementById("wrong").textContent = reply.error?.text ?? "";
  if (!reply.error)
    await keep(summed({ ...currentJob(), file: job.file }, reply));
}

function pressBearing(button) {
  showSweep(currentJob(), button.dataset.at);
}

function eight() {
  const job = currentJob();
  store.things.set(job.id, { ...job, bearings: job.bearings === 8 ? 4 : 8 });
  showSweep(currentJob());
}

// The own keypad: the phone's would hide the compass.
function pressKey(button) {
  const field = document.getElementById("value"), key = button.dataset.key ?? "", was = field.value;
  const typed = { back: was.slice(0, -1), point: /[.,]/.test(was) ? was : was + word("point"),
    sign: was.startsWith("-") ? was.slice(1) : "-" + was };
  field.value = typed[key] ?? was + button.textContent;
}
