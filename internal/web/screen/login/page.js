// Logged out on a device that is let in no other way: the copies of pages go.
import { forget } from "./panel.js";

if (document.querySelector("[data-forget]")) forget().catch(() => {});
