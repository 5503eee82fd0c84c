// Judges the shape of what we send by Slack's own types. The schema is made of
// them anew at each run; it knows names and kinds, not lengths.
// stdin: lines of {"name", "kind": "message" | "modal" | "home" | "manifest", "body"}
// stdout: a line for each that does not fit, then {"judged": n}
import fs from "node:fs";
import path from "node:path";
import readline from "node:readline";
import Ajv from "ajv";
import { createGenerator } from "ts-json-schema-generator";

const here = path.dirname(new URL(import.meta.url).pathname);
const scratch = fs.mkdtempSync(path.join(here, "node_modules", ".shapes-"));
const source = path.join(scratch, "shapes.ts");
fs.writeFileSync(source, `
import type { HomeView, KnownBlock, ModalView } from "@slack/types";
import type { Manifest } from "@slack/web-api/dist/types/request/manifest";
export type message = { text: string; blocks: KnownBlock[] };
export type modal = ModalView;
export type home = HomeView;
export type manifest = Manifest;
`);
const schema = createGenerator({ path: source, type: "*", skipTypeCheck: true, additionalProperties: false }).createSchema("*");
fs.rmSync(scratch, { recursive: true });

const ajv = new Ajv({ strict: false, allErrors: false });
ajv.addSchema(schema, "slack");
const judge = (kind) => ajv.getSchema(`slack#/definitions/${kind}`);

let judged = 0;
for await (const line of readline.createInterface({ input: process.stdin })) {
  const { name, kind, body } = JSON.parse(line);
  const fits = judge(kind);
  if (!fits(body)) console.log(JSON.stringify({ name, errors: fits.errors.slice(-5) }));
  judged++;
}
console.log(JSON.stringify({ judged }));
