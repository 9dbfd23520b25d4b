package stories

// page is one page and its stories: one for each season at path, unless at says
// otherwise ("" = not to be had in that season), and more.
type page struct {
	screen string
	path   string
	at     map[string]string
	code   map[string]int // of the seasons that do not answer 200
	more   []Story
}

// pages is every page, in the order of the navigation. TestEveryPageHasAStory
// holds it against the routes.
var pages = []page{
	{screen: "short", path: "/short", more: []Story{
		{State: "sixty", Season: "sixty", Path: "/short"},
		{State: "chosen", Path: "/short?show=unknown&sort=name&ticked=1"},
		{State: "none-found", Path: "/short?find=nowhere"},
	}},
	{screen: "plan", path: "/plan", more: []Story{
		{State: "what-if", Path: "/plan?rig.tank=110&crew.people=2"},
		{State: "error", Path: "/plan?rig.tank=lots&feed.strength=7", Code: 422},
	}},
	{screen: "load", path: "/load", more: []Story{
		{State: "second", Path: "/load/2"},
	}},
	{screen: "fail", path: "", more: []Story{
		{State: "no-such-load", Path: "/load/99", Code: 404},
	}},
}
