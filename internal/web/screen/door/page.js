// A phone that is not let in: what it still keeps, and a file of it. Copies of
// pages go.
import { forget, showKept } from "./panel.js";

if (document.querySelector("[data-forget]")) forget().catch(() => {});
await showKept(document.getElementById("outbox"));
