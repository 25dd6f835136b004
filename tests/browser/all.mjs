// node all.mjs PATH OF rickyard_page_of
import { runAll } from "./harness.mjs";
import "./cases/samples.mjs";
import "./cases/figures.mjs";
import "./cases/views.mjs";
import "./cases/words.mjs";
import "./cases/years.mjs";
import "./cases/safety.mjs";
import "./cases/access.mjs";
import "./cases/colour.mjs";
import "./cases/paper.mjs";

process.exit(await runAll(process.argv[2]));
