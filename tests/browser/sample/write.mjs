// Writes every sample as plan.json text: node sample/write.mjs DIR
import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { samples } from "./samples.mjs";

const dir = process.argv[2];
if (!dir) { console.error("usage: node sample/write.mjs DIR"); process.exit(2); }
mkdirSync(dir, { recursive: true });
for (const [name, plan] of Object.entries(samples())) writeFileSync(join(dir, `${name}.json`), JSON.stringify(plan, null, 1) + "\n");
