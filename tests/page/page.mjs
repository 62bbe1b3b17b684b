// SPDX-License-Identifier: GPL-3.0-or-later
// page.mjs PERPEND.html: answers as tests/page/page.c does, by the WebAssembly inside the page.
import { readFileSync, writeSync } from "node:fs";

const html = readFileSync(process.argv[2], "utf8");
const module = new WebAssembly.Module(Buffer.from(/id="core">([^<]*)</.exec(html)[1], "base64"));
const nothing = {};
for (const { module: from, name } of WebAssembly.Module.imports(module))
  (nothing[from] ??= {})[name] = () => 52;
const core = new WebAssembly.Instance(module, nothing).exports;
core._initialize();

const place = (bytes) => {
  const at = core.malloc(bytes.length + 1);
  new Uint8Array(core.memory.buffer).set([...bytes, 0], at);
  return at;
};

function call(name, first, second) {
  const places = [first, second].map(place);
  const reply = core[name](...places);
  const memory = new Uint8Array(core.memory.buffer);
  const bytes = Buffer.from(memory.subarray(reply, memory.indexOf(0, reply)));
  for (const at of [...places, reply])
    core.free(at);
  return bytes;
}

const text = (path) => {
  const bytes = path === undefined ? Buffer.of() : readFileSync(path);
  return Buffer.from(bytes.toString("latin1").replace(/^\u00ef\u00bb\u00bf/, "").replace(/\r\n?/g, "\n"), "latin1");
};
for (const line of readFileSync(0, "utf8").split("\n").filter(Boolean)) {
  const [what, first, second] = line.split("\t");
  writeSync(1, call(`page_${what}`, text(first), text(second)));
  writeSync(1, "\n\n");
}
