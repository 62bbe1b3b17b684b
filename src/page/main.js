// SPDX-License-Identifier: GPL-3.0-or-later

// Where one is, by the address behind the #, and what a press does.

const today = () => {
  const now = new Date(), two = (number) => String(number).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
};

// As a job file takes it: day, time of day, zone.
const moment = () => {
  const now = new Date(), two = (number) => String(number).padStart(2, "0"), zone = -now.getTimezoneOffset();
  return `${today()} ${two(now.getHours())}:${two(now.getMinutes())} ${zone < 0 ? "-" : "+"}${two(Math.floor(Math.abs(zone) / 60))}:${two(Math.abs(zone) % 60)}`;
};

const currentJob = () => store.things.get(location.hash.split("/")[1]);

function go(where) {
  if (location.hash === `#${where}`)
    render();
  else
    location.hash = where;
}

function show(bar, ...content) {
  const main = document.getElementById("main");
  document.getElementById("bar").replaceChildren(screen("bar", { tabs: true, ...bar }));
  main.replaceChildren(...content);
  document.title = `${bar.title} · perpend`;
}

function showJob(job, tab, page) {
  const solved = Boolean(answerOf(job).solution);
  const tabs = [["sweep", true], ["answer", solved], ["bolts", solved]].map(([where, open]) => element("a", {
    href: open ? `#job/${job.id}/${where}` : null, "aria-current": where === tab ? "page" : null, "aria-disabled": open ? null : "true",
  }, word(`tab-${where}`)));
  show({ title: job.machineFile.machine || word("noName"), under: sweepAt(job).name, tabs }, page);
}

async function startJob(machine, file = store.things.get(machine).file) {
  const place = bedOf(file) === "as found" ? { x: "0", y: "0" } : {};
  const job = store.make("job", { machine, machineFile: file, file: { perpend: "1", date: moment(), sweeps: [] }, bearings: 4,
    draft: { name: word("asFound"), ...place } });
  store.things.set(job.id, job);
  go(`job/${job.id}/sweep`);
}

function showHome() {
  const machines = store.list("machine"), jobs = store.list("job");
  if (machines.length === 0 && jobs.length === 0)
    return show({ title: "perpend", under: word("under"), tabs: null }, screen("welcome"), homeFoot());
  const open = jobs.filter((job) => !job.ended && job.file.sweeps.length > 0);
  const list = machines.map((machine) => {
    const own = jobs.filter((job) => job.machine === machine.id && job.file.sweeps.length > 0);
    const item = screen("machine-item", { name: machineName(machine), go: word("sweep"), go_href: `#start/${machine.id}`,
      edit_href: `#machine/${machine.id}`, ridge_href: `#ridge/${machine.id}`, note: own.length === 0 ? word("noJob") : null, jobs: own.map(jobItem) });
    item.querySelector("[data-slot-id]").dataset.id = machine.id;
    return item;
  });
  const home = screen("home", { list: [...open.slice(0, 1).map(goOn), ...list], ...homeWords() });
  show({ title: "perpend", under: word("under"), tabs: null }, home);
}

// The first visit has the copies and the small print below it.
function homeFoot() {
  const copies = screen("home", { list: true, ...homeWords() }).querySelector("#copies");
  copies.querySelector("[data-do=copyAll]").remove();
  return copies;
}

function homeWords() {
  let copied = null;
  try {
    copied = localStorage.getItem("perpend-copied");
  } catch { /* not remembered, not said */ }
  return { copied: copied ? word("copied", { date: copied }) : word("neverCopied"), version: document.querySelector("meta[name=version]").content };
}

function goOn(job) {
  const left = unread(job), sweep = sweepAt(job);
  return element("div", { class: "goon" }, element("p", {}, element("b", {},
    `${job.machineFile.machine || word("noName")}, ${sweep.name}: ${word("readingsKept", { count: readingsOf(sweep).length })}`)),
  element("a", { class: "btn", href: `#job/${job.id}/${left.length > 0 ? "sweep" : "answer"}` },
    left.length > 0 ? word("goOnAt", { at: word(`at-${left[0]}`) }) : word("goOn")));
}

function jobItem(job) {
  const look = { met: "goal", "not met": "now" }[job.summary?.verdict] ?? "doubt";
  const icon = drawing(marks[look]);
  icon.setAttribute("class", `mark ${look}`);
  icon.setAttribute("aria-hidden", "true");
  return element("li", {}, element("a", { href: `#job/${job.id}/${job.summary ? "record" : "sweep"}` }, icon,
    element("span", {}, element("b", {}, job.file.date ?? ""), element("em", {}, [job.summary?.head ?? word("begun"),
      job.ended ? null : word("open")].filter(Boolean).join(", "))),
    element("span", { class: "v" }, element("b", {}, job.summary?.ridge ?? ""), job.summary && job.summary.from !== job.summary.ridge
      ? element("em", {}, word("from", { ridge: job.summary.from })) : null)));
}

function render(focus) {
  const [where, id, tab, more] = location.hash.slice(1).split("/");
  const thing = store.things.get(id);
  if (where === "machine" && (thing?.kind === "machine" || id === "new"))
    showMachine(id);
  else if (where === "ridge")
    showRidge(id);
  else if (where === "start" && thing?.kind === "machine")
    return void startJob(id);
  else if (where === "job" && thing?.kind === "job")
    ({ sweep: showSweep, answer: showAnswer, bolts: showBolts, record: showRecord }[tab] ?? showSweep)(thing, more);
  else
    showHome();
  if (focus && tab !== "sweep")
    document.getElementById("main").focus();
  if (focus)
    window.scrollTo(0, 0);
}

const actions = {
  bearing: pressBearing, nextPlace, eight, didPlan, didNothing, undoDid, endJob, saveRecord, print: print_, exportJob,
  exportMachine, forgetJob, bedIs, repeat, forgetMachine, copyAll, demo,
  moreStock: (button) => addStock(button.previousElementSibling, {}), moreJoints,
  putAway: (button) => button.closest(".notice").remove(),
};
const forms = { keepMachine, keepReading, askRidge, didOther, keepRecord: () => {} };
const changes = { place, bring };

document.addEventListener("click", ({ target }) => {
  const button = target.closest("[data-do], .keys button[type=button]");
  if (button)
    button.dataset.do ? actions[button.dataset.do](button) : pressKey(button);
});
document.addEventListener("submit", (event) => {
  event.preventDefault();
  forms[event.target.dataset.submit](event.target);
});
document.addEventListener("change", ({ target }) => changes[target.dataset.change]?.(target));
addEventListener("beforeprint", layOut);
addEventListener("afterprint", putBack);
addEventListener("hashchange", () => render(true));
// another tab may have gone on meanwhile
document.addEventListener("visibilitychange", async () => {
  if (document.visibilityState === "visible" && document.querySelector("form [name]") === null) {
    await store.load();
    render();
  }
});

// The boat shed's evening, to look at.
async function demo() {
  const demo = JSON.parse(document.getElementById("demo").textContent);
  const machine = core.read(demo.machine, null).file, job = core.read(demo.job, null).file;
  const thing = store.make("machine", { file: machine });
  await keep(thing);
  const evening = store.make("job", { machine: thing.id, machineFile: machine, file: job, bearings: 4 });
  await keep(summed(evening, core.answer(machine, job)));
  go(`job/${evening.id}/answer`);
}

(async () => {
  const [outcome] = await Promise.all([store.open(), core.load()]);
  if (outcome !== "kept")
    notice(outcome, {}, outcome === "newer" ? null : "copyAll");
  if (store.newer() > 0)
    notice("someNewer", { count: store.newer() });
  render();
  performance.mark("ready");
  document.documentElement.dataset.ready = "yes";
})();
