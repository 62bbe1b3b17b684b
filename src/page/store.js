// SPDX-License-Identifier: GPL-3.0-or-later

// What the device keeps: machines and jobs, one record each, in IndexedDB. A record has a revision that
// every write counts up; who writes on top of another revision than the one it read is refused, so that
// two tabs never overwrite each other. Nothing here goes by the clock.

const FORMAT = 1;

const store = {
  things: new Map(), // all that is known; `unkept`: what is kept of one that could not be kept as it is
  database: null,

  // "kept", or why nothing can be kept here: "forbidden", "newer".
  async open() {
    try {
      this.database = await new Promise((done, failed) => {
        const asked = indexedDB.open("perpend", FORMAT);
        asked.onupgradeneeded = () => asked.result.createObjectStore("things", { keyPath: "id" });
        asked.onsuccess = () => done(asked.result);
        asked.onerror = () => failed(asked.error);
      });
      this.database.onversionchange = () => this.database.close();
      await this.load();
      navigator.storage?.persist?.().catch(() => {});
      return "kept";
    } catch (error) {
      this.database = null;
      return error?.name === "VersionError" ? "newer" : "forbidden";
    }
  },

  async load() {
    if (!this.database)
      return;
    const kept = await new Promise((done, failed) => {
      const asked = this.database.transaction("things").objectStore("things").getAll();
      asked.onsuccess = () => done(asked.result);
      asked.onerror = () => failed(asked.error);
    });
    for (const [id, thing] of this.things)
      if (!thing.unkept)
        this.things.delete(id);
    for (const thing of kept)
      if (!this.things.has(thing.id))
        this.things.set(thing.id, thing);
  },

  // Keeps a thing: "kept" once it is on the disk; "changed" when another tab was faster, and then it
  // is read anew; else "full" or "forbidden", and it lives on in this page alone.
  async keep(thing) {
    const next = { ...thing, revision: thing.revision + 1, order: thing.order ?? this.nextOrder() };
    delete next.unkept;
    const before = this.things.get(thing.id);
    let outcome = "forbidden";
    if (this.database) {
      try {
        outcome = await this.write(thing.id, thing.revision, next);
      } catch (error) {
        outcome = error?.name === "QuotaExceededError" ? "full" : "forbidden";
      }
    }
    if (outcome === "changed") {
      this.things.delete(thing.id);
      await this.load();
    } else if (outcome === "kept") {
      this.things.set(next.id, next);
    } else {
      this.things.set(thing.id, { ...next, revision: thing.revision, unkept: before?.unkept ?? (before?.revision > 0 ? before : {}) });
    }
    return outcome;
  },

  write(id, revision, next) {
    return new Promise((done, failed) => {
      const transaction = this.database.transaction("things", "readwrite", { durability: "strict" });
      const things = transaction.objectStore("things");
      let outcome = "kept";
      things.get(id).onsuccess = ({ target: { result: there } }) => {
        if ((there?.revision ?? 0) !== revision || (there?.format ?? FORMAT) > FORMAT)
          outcome = "changed";
        else if (next)
          things.put(next);
        else
          things.delete(id);
      };
      transaction.oncomplete = () => done(outcome);
      transaction.onabort = () => failed(transaction.error);
    });
  },

  async forget(thing) {
    const outcome = this.database && thing.revision > 0 ? await this.write(thing.id, thing.revision, null) : "kept";
    this.things.delete(thing.id);
    if (outcome === "changed")
      await this.load();
    return outcome;
  },

  nextOrder() {
    return 1 + Math.max(0, ...[...this.things.values()].map((thing) => thing.order ?? 0));
  },

  // The newest first. What a newer page wrote is not touched.
  list(kind) {
    return [...this.things.values()].filter((thing) => thing.kind === kind && thing.format <= FORMAT)
      .sort((a, b) => (b.order ?? Infinity) - (a.order ?? Infinity));
  },

  newer() {
    return [...this.things.values()].filter((thing) => !(thing.format <= FORMAT)).length;
  },

  make(kind, more) {
    const id = [...crypto.getRandomValues(new Uint32Array(3))].map((n) => n.toString(36)).join("");
    return { id, kind, format: FORMAT, revision: 0, ...more };
  },
};

// Keeps a thing and says what came of it; value: whether it stands as it was given.
async function keep(thing) {
  const outcome = await store.keep(thing);
  if (outcome === "changed")
    notice("changedElsewhere");
  else if (outcome !== "kept")
    notice(outcome, {}, "copyAll");
  return outcome;
}
