// A phone to be paired, perhaps again: what it still keeps, and a file of it.
import { showKept } from "./panel.js";

await showKept(document.getElementById("outbox"));
