// SPDX-License-Identifier: GPL-3.0-or-later
// assemble.mjs CORE.wasm OUT.html: one file out of page.html, cut.html (asked for on two screens), page.css,
// the scripts and the core. The policy in its head allows this very script, and nothing from anywhere else.
import { createHash } from "node:crypto";
import { readFileSync, writeFileSync } from "node:fs";

const [core, out] = process.argv.slice(2);
const bytes = readFileSync(core);
const module = new WebAssembly.Module(bytes), nothing = {};
for (const { module: from, name } of WebAssembly.Module.imports(module))
  (nothing[from] ??= {})[name] = () => 52;
const asked = new WebAssembly.Instance(module, nothing).exports;
asked._initialize();
const style = Buffer.from(asked.memory.buffer.slice(asked.page_style()));
const part = (name) => readFileSync(new URL(name, import.meta.url), "utf8");
const script = ["core", "screen", "store", "machine", "sweep", "answer", "record", "ridge", "main"].map((name) => part(`${name}.js`)).join("\n");
const example = (name) => part(`../../examples/${name}.yaml`);
const put = {
  POLICY: `default-src 'none'; script-src 'sha256-${createHash("sha256").update(script).digest("base64")}' ` +
    "'wasm-unsafe-eval'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'",
  STYLE: part("page.css") + style.subarray(0, style.indexOf(0)).toString(),
  SCRIPT: script,
  CUT: part("cut.html").trimEnd(),
  VERSION: /version: '(.*)'/.exec(part("../../meson.build"))[1],
  DEMO: JSON.stringify({ machine: example("tern"), job: example("tern-evening") }).replaceAll("<", "\\u003c"),
  CORE: bytes.toString("base64"),
};
const page = part("page.html").replace(/<!--(STYLE|SCRIPT|CUT|DEMO|CORE)-->|\{(POLICY|VERSION)\}/g, (_, a, b) => put[a ?? b]);
writeFileSync(out, page);
console.log(`${out}: ${page.length} characters, the core ${put.CORE.length} of them`);
