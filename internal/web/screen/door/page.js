// A phone that is not let in: what it still keeps, and a file of it.
import { showKept } from "./panel.js";

await showKept(document.getElementById("outbox"));
