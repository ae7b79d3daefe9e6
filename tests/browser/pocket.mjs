// Runs the module as a phone's worker does: node pocket.mjs FOLDER, which holds module.gz, record.json, shelf.json and
// asked.json, a list. Prints the list of answers, how large the module is, and how long its start and its answers took.
import { readFileSync } from "node:fs";
import { gunzipSync } from "node:zlib";
import vm from "node:vm";

const [folder, shim] = process.argv.slice(2);
const read = (name) => readFileSync(`${folder}/${name}`, "utf8");
vm.runInThisContext(readFileSync(shim, "utf8"));
const wasi = vm.runInThisContext("WASI");

const bytes = gunzipSync(readFileSync(`${folder}/module.gz`));
const began = performance.now();
const module = await WebAssembly.compile(bytes);
const compiled = performance.now() - began;
const carried = `${read("record.json")}\n${read("shelf.json")}\n`;
const answers = [];
const took = [];
for (const asked of JSON.parse(read("asked.json"))) {
  const start = performance.now();
  const output = await wasi.run(module, new TextEncoder().encode(`${JSON.stringify(asked)}\n${carried}`));
  took.push(performance.now() - start);
  const end = output.indexOf("\n");
  answers.push({ told: JSON.parse(output.slice(0, end)), body: output.slice(end + 1) });
}
took.sort((a, b) => a - b);
const median = took[Math.floor(took.length / 2)];
console.log(JSON.stringify({ answers, size: bytes.length, compiled, took, median }));
