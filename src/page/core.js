// SPDX-License-Identifier: GPL-3.0-or-later
"use strict";

// The core: perpend's C as WebAssembly, asked with texts, answering in JSON (page.h).
const core = {
  async load() {
    const binary = atob(document.getElementById("core").textContent);
    const bytes = new Uint8Array(binary.length);
    for (let i = 0; i < bytes.length; i++)
      bytes[i] = binary.charCodeAt(i);
    const module = await WebAssembly.compile(bytes);
    // it needs nothing of a system; what its C library would ask for is refused
    const nothing = {};
    for (const { module: from, name } of WebAssembly.Module.imports(module))
      (nothing[from] ??= {})[name] = () => 52;
    this.c = (await WebAssembly.instantiate(module, nothing)).exports;
    this.c._initialize();
  },

  ask(name, ...texts) {
    const places = texts.map((text) => {
      const bytes = new TextEncoder().encode(text);
      const at = this.c.malloc(bytes.length + 1);
      const memory = new Uint8Array(this.c.memory.buffer, at, bytes.length + 1);
      memory.set(bytes);
      memory[bytes.length] = 0;
      return at;
    });
    const at = this.c[name](...places);
    const memory = new Uint8Array(this.c.memory.buffer);
    const reply = new TextDecoder().decode(memory.subarray(at, memory.indexOf(0, at)));
    for (const place of [...places, at])
      this.c.free(place);
    return reply;
  },

  known: new Map(), // the last few answers

  // All of an answer, or what is wrong: error gets the path of the value at its line.
  answer(machine, job) {
    const texts = { machine: written(machine), job: job ? written(job) : { text: "" } };
    const key = texts.machine.text + "\0" + texts.job.text;
    if (!this.known.has(key)) {
      if (this.known.size >= 8)
        this.known.delete(this.known.keys().next().value);
      this.known.set(key, placed(JSON.parse(this.ask("page_answer", texts.machine.text, texts.job.text)), texts));
    }
    return this.known.get(key);
  },

  mount(measures) {
    const text = written(measures);
    return placed(JSON.parse(this.ask("page_mount", text.text)), { mount: text });
  },

  ridge(machine, lean) {
    const texts = { machine: written(machine), lean: written(lean) };
    return placed(JSON.parse(this.ask("page_ridge", texts.machine.text, texts.lean.text)), texts);
  },

  read(text, machine) {
    return JSON.parse(this.ask("page_read", text, machine ? written(machine).text : ""));
  },
};

function placed(reply, texts) {
  if (reply.error)
    reply.error.path = texts[reply.error.in].paths[reply.error.line - 1] ?? "";
  return reply;
}

// A value as the text of a file, JSON with a value a line, and the path of what stands on each line.
function written(value) {
  const lines = [], paths = [];
  const line = (text, path) => {
    lines.push(text);
    paths.push(path.join("."));
  };
  const put = (value, path, lead, tail) => {
    if (typeof value !== "object")
      return line(lead + JSON.stringify(value) + tail, path);
    const list = Array.isArray(value), entries = Object.entries(value);
    const indent = " ".repeat(path.length + 1);
    line(lead + (list ? "[" : "{"), path);
    entries.forEach(([key, one], i) =>
      put(one, [...path, key], indent + (list ? "" : JSON.stringify(key) + ": "), i + 1 < entries.length ? "," : ""));
    line(indent.slice(1) + (list ? "]" : "}") + tail, path);
  };
  put(value, [], "", "");
  return { text: lines.join("\n") + "\n", paths };
}
