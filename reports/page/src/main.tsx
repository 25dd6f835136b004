// Reads the plan document out of the page and draws it. Without a readable document it says so in words.
import { render } from "preact";
import { App } from "./app";
import { readPlan } from "./document/read";
import { listenForPrinting } from "./parts/screen";

const root = document.getElementById("page"), source = document.getElementById("plan");
if (root) {
  root.replaceChildren();
  try {
    const plan = readPlan(source?.textContent ?? "");
    document.title = `Barley plan, crop ${plan.season.crop_year ?? "?"}, ${plan.season.case || "base"}, as of ${plan.season.as_of}`;
    listenForPrinting();
    render(<App plan={plan} />, root);
  } catch (error) {
    const words = document.createElement("p");
    words.className = "failure";
    words.setAttribute("role", "alert");
    words.textContent = `This page cannot show its plan: ${error instanceof Error ? error.message : "unknown reason"}.`;
    root.replaceChildren(words);
    console.error(error);
  }
}
