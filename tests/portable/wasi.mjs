// SPDX-License-Identifier: GPL-3.0-or-later
// wasi.mjs MODULE [ARGUMENT ...]: runs a WebAssembly program in this folder.
import { readFile } from "node:fs/promises";
import { WASI } from "node:wasi";

const [module, ...words] = process.argv.slice(2);
const wasi = new WASI({ version: "preview1", args: [module, ...words], preopens: { ".": "." } });
const { instance } = await WebAssembly.instantiate(await readFile(module), wasi.getImportObject());
process.exitCode = wasi.start(instance);
