// The time zone of this computer is the best guess for that of the yards.
const zone = document.getElementById("zone");
if (zone) zone.value = Intl.DateTimeFormat().resolvedOptions().timeZone ?? "";
