package stories

import (
	"html"
	"regexp"
	"slices"
	"strings"
	"testing"

	"larder/internal/web"
	"larder/manual"
)

var (
	cautionRow = regexp.MustCompile("(?m)^\\| `([a-z]+)` \\|(.*)\\|(.*)\\|$")
	screenLink = regexp.MustCompile(`screens\.md#([a-z-]+)`)
	forScripts = regexp.MustCompile(` data-[a-z-]+="[{&][^"]*"`)
	sheetName  = regexp.MustCompile("`([a-z]+)`")
)

// TestCautionsStandWhereTheManualSays asks for every story and looks for each
// caution in it: where the table in the manual has it, some state of that page or
// sheet must say it; and nothing may say one that the table does not have.
func TestCautionsStandWhereTheManualSays(t *testing.T) {
	src, err := manual.Pages.ReadFile("safety.md")
	if err != nil {
		t.Fatal(err)
	}
	_, table, _ := strings.Cut(string(src), "<!-- #where -->")
	wanted := map[string][]string{}
	for _, m := range cautionRow.FindAllStringSubmatch(table, -1) {
		for _, s := range screenLink.FindAllStringSubmatch(m[2], -1) {
			wanted[m[1]] = append(wanted[m[1]], s[1])
		}
		for _, s := range sheetName.FindAllStringSubmatch(m[3], -1) {
			wanted[m[1]] = append(wanted[m[1]], "sheet "+s[1])
		}
	}
	texts := web.Cautions()
	for key := range texts {
		if wanted[key] == nil {
			t.Errorf("safety.md does not say where the caution %q stands", key)
		}
	}
	for key := range wanted {
		if texts[key] == "" {
			t.Errorf("safety.md has the caution %q, and the program has none of that name", key)
		}
	}
	if len(wanted) < 20 {
		t.Fatalf("only %d cautions in the table: is it written otherwise now?", len(wanted))
	}
	found := map[string]bool{}
	b := New()
	for _, s := range b.Stories {
		if s.Screen == "manual" || s.Screen == "manual-page" {
			continue // tell of cautions
		}
		w, err := b.Answer(s)
		if err != nil {
			t.Fatal(err)
		}
		body, at := html.UnescapeString(forScripts.ReplaceAllString(w.Body.String(), "")), s.Screen // what is read without scripts
		if s.Screen == "print" {
			at = "sheet " + strings.TrimPrefix(strings.SplitN(s.Path, "?", 2)[0], "/sheets/")
		}
		for key, say := range texts {
			if !strings.Contains(body, say) {
				continue
			}
			found[key+" "+at] = true
			if at != "sheet day" && !slices.Contains(wanted[key], at) { // a day's papers are those of its loads
				t.Errorf("%s says the caution %q: safety.md does not know", s.Name(), key)
				wanted[key] = append(wanted[key], at)
			}
		}
	}
	for key, places := range wanted {
		for _, at := range places {
			if !found[key+" "+at] {
				t.Errorf("safety.md has the caution %q on %s: no state of it says %q", key, at, texts[key])
			}
		}
	}
}
